# What the presets `sanitize`, `sanitize-cad` and `sanitize-threads` add to every object and program.
#
# Division of doubles by zero is no fault here: IEEE infinities are counted on, as where a pivot's reciprocal says that
# a matrix is singular. Conversions of doubles that no integer can hold are one, though `undefined` leaves them out.
if(NOT CMAKE_CXX_COMPILER_ID STREQUAL "Clang")
  message(FATAL_ERROR "COREFEED_SANITIZE needs clang, found ${CMAKE_CXX_COMPILER_ID}; take the presets")
endif()
if(COREFEED_SANITIZE STREQUAL "address")
  set(sanitizers -fsanitize=address,undefined,float-cast-overflow)
  # The runtime as a library of its own: an interpreter that loads a module of ours can load it first, and hand it on to
  # the programs that it starts.
  execute_process(COMMAND ${CMAKE_CXX_COMPILER} -print-file-name=libclang_rt.asan-${CMAKE_SYSTEM_PROCESSOR}.so
    OUTPUT_VARIABLE COREFEED_SANITIZER_RUNTIME OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
  get_filename_component(runtime_folder ${COREFEED_SANITIZER_RUNTIME} DIRECTORY)
  add_link_options(-shared-libasan -Wl,-rpath,${runtime_folder})
elseif(COREFEED_SANITIZE STREQUAL "threads")
  set(sanitizers -fsanitize=thread)
else()
  message(FATAL_ERROR "COREFEED_SANITIZE is \"${COREFEED_SANITIZE}\", expected address or threads")
endif()
add_compile_options(${sanitizers} -fno-sanitize-recover=all -fno-omit-frame-pointer)
# The last for the few places that have to know, such as limits of memory.
add_compile_definitions(_GLIBCXX_ASSERTIONS COREFEED_SANITIZED)
add_link_options(${sanitizers})

# For tests whose interpreter loads code of ours: the runtime has to be there first, and what an interpreter keeps to
# its end is no leak of ours.
function(corefeed_sanitized_interpreter)
  if(COREFEED_SANITIZER_RUNTIME)
    foreach(test IN LISTS ARGN)
      set_property(TEST ${test} APPEND PROPERTY ENVIRONMENT LD_PRELOAD=${COREFEED_SANITIZER_RUNTIME}
        ASAN_OPTIONS=detect_leaks=0)
    endforeach()
  endif()
endfunction()
