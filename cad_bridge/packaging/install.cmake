# What `cmake --install` puts where, by component:
#   cli          the command, its schema, completions
#   worker       the measuring program, which needs OpenCASCADE
#   draw         the DRAW plugin, likewise (installed by its own room)
#   freecad      the FreeCAD add-on (likewise)
#   c            the C library
#   python       the Python package
#   development  headers, the C++ library, CMake and pkg-config files
# Everything finds its parts from where it stands, so a prefix can be moved.
include(CMakePackageConfigHelpers)
set(cmake_folder ${CMAKE_INSTALL_LIBDIR}/cmake/corefeed)

install(TARGETS corefeed_command RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR} COMPONENT cli)
# Schema, completions and manual page are what the command that was built prints.
install(CODE "
  function(printed_by_command file)
    set(target \"\$ENV{DESTDIR}\${CMAKE_INSTALL_PREFIX}/${CMAKE_INSTALL_DATADIR}/\${file}\")
    get_filename_component(folder \"\${target}\" DIRECTORY)
    file(MAKE_DIRECTORY \"\${folder}\")
    message(STATUS \"Installing: \${target}\")
    execute_process(COMMAND \"$<TARGET_FILE:corefeed_command>\" \${ARGN} OUTPUT_FILE \"\${target}\"
      COMMAND_ERROR_IS_FATAL ANY)
  endfunction()
  printed_by_command(corefeed/schema/corefeed.schema.json schema)
  printed_by_command(bash-completion/completions/corefeed completion bash)
  printed_by_command(zsh/vendor-completions/_corefeed completion zsh)
  printed_by_command(fish/vendor_completions.d/corefeed.fish completion fish)
  printed_by_command(man/man1/corefeed.1 completion man)" COMPONENT cli)
# Of what is inside the command.
install(FILES ${PROJECT_SOURCE_DIR}/docs/licences.md DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/corefeed COMPONENT cli)

if(TARGET corefeed_worker)
  install(TARGETS corefeed_worker RUNTIME DESTINATION ${CMAKE_INSTALL_LIBEXECDIR}/corefeed COMPONENT worker)
endif()

install(TARGETS corefeed_c EXPORT corefeed_c_targets
  LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT c NAMELINK_COMPONENT development
  PUBLIC_HEADER DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} COMPONENT development
  INCLUDES DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(TARGETS corefeed EXPORT corefeed_cxx_targets
  ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT development
  INCLUDES DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/lib/corefeed ${PROJECT_BINARY_DIR}/lib/corefeed
  DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} COMPONENT development FILES_MATCHING PATTERN *.hpp)

foreach(part c cxx)
  install(EXPORT corefeed_${part}_targets NAMESPACE corefeed:: DESTINATION ${cmake_folder} COMPONENT development)
endforeach()
configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/corefeed-config.cmake.in
  ${PROJECT_BINARY_DIR}/packaging/corefeed-config.cmake INSTALL_DESTINATION ${cmake_folder})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/packaging/corefeed-config-version.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/packaging/corefeed-config.cmake
  ${PROJECT_BINARY_DIR}/packaging/corefeed-config-version.cmake DESTINATION ${cmake_folder} COMPONENT development)

# From the file's own place, however deep the library folder is.
set(pkgconfig_folder ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
file(RELATIVE_PATH to_prefix /${pkgconfig_folder} /)
foreach(name corefeed corefeed_c)
  configure_file(${CMAKE_CURRENT_LIST_DIR}/${name}.pc.in ${PROJECT_BINARY_DIR}/packaging/${name}.pc @ONLY)
  install(FILES ${PROJECT_BINARY_DIR}/packaging/${name}.pc DESTINATION ${pkgconfig_folder} COMPONENT development)
endforeach()

if(TARGET corefeed_python)
  set(COREFEED_PYTHON_FOLDER lib/python3/dist-packages CACHE STRING "Where the Python package goes, below the prefix")
  install(TARGETS corefeed_python LIBRARY DESTINATION ${COREFEED_PYTHON_FOLDER}/corefeed COMPONENT python)
  install(DIRECTORY ${PROJECT_SOURCE_DIR}/cad_bridge/python/corefeed DESTINATION ${COREFEED_PYTHON_FOLDER}
    COMPONENT python FILES_MATCHING PATTERN *.py PATTERN *.pyi PATTERN py.typed PATTERN __pycache__ EXCLUDE)
  # What setup.py asks for: builds and installs the package and nothing else.
  add_custom_target(install_python COMMAND ${CMAKE_COMMAND} --install ${PROJECT_BINARY_DIR} --component python VERBATIM)
  add_dependencies(install_python corefeed_python)
endif()

include(${CMAKE_CURRENT_LIST_DIR}/packages.cmake)
