# Writes the source file that holds the page's scripts: those of uPlot, installed by npm from the lock file beside this
# one, and charts.js. Where npm or the network is missing, a file that holds none: the build goes on, and the page has
# its static charts.
#
#     cmake -DNPM=.. -DSOURCE=.. -DWORK=.. -DOUTPUT=.. -P embed.cmake
#
# NPM may be empty. WORK is a folder of the build; npm never touches the source tree.

# What one try may take, in seconds: an install from a reachable place takes two.
set(longest 60)

# A literal of the compiler may be 64 kB at most in standard C++, so a text is cut into pieces.
function(raw_literal text variable)
  set(literal "")
  string(LENGTH "${text}" length)
  set(at 0)
  while(at LESS length)
    string(SUBSTRING "${text}" ${at} 8000 piece)
    string(APPEND literal "R\"embedded(${piece})embedded\"\n")
    math(EXPR at "${at} + 8000")
  endwhile()
  set(${variable} "${literal}" PARENT_SCOPE)
endfunction()

function(write_scripts)
  set(version "")
  set(library ${WORK}/node_modules/uplot)
  file(READ ${library}/package.json package)
  string(JSON version GET "${package}" version)
  file(READ ${library}/dist/uPlot.iife.min.js script)
  file(READ ${library}/dist/uPlot.min.css style)
  file(READ ${library}/LICENSE license)
  file(READ ${SOURCE}/charts.js charts)
  # Nothing in it may end the element that it stands in.
  string(APPEND script "\n${charts}")
  string(REPLACE "</script" "<\\/script" script "${script}")
  raw_literal("${script}" script)
  raw_literal("${style}" style)
  raw_literal("${license}" license)
  file(WRITE ${OUTPUT} "// Made by embed.cmake.
#include \"cad_bridge/command/page_scripts.hpp\"
namespace corefeed::command {
reports::PageScripts page_scripts() {
  return {.name = \"uPlot ${version}\", .script = ${script}, .style = ${style}, .license = ${license}};
}
}  // namespace corefeed::command
")
endfunction()

function(write_none)
  file(WRITE ${OUTPUT} "// Made by embed.cmake.
#include \"cad_bridge/command/page_scripts.hpp\"
namespace corefeed::command {
reports::PageScripts page_scripts() { return {}; }
}  // namespace corefeed::command
")
endfunction()

if(NOT NPM)
  message(STATUS "npm was not found: the report page has static charts alone")
  write_none()
  return()
endif()
file(MAKE_DIRECTORY ${WORK})
file(COPY ${SOURCE}/package.json ${SOURCE}/package-lock.json DESTINATION ${WORK})
execute_process(COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --prefer-offline --fetch-retries=0
    --fetch-timeout=20000
  WORKING_DIRECTORY ${WORK} TIMEOUT ${longest} RESULT_VARIABLE ended OUTPUT_QUIET ERROR_VARIABLE fault
  INPUT_FILE /dev/null)
if(ended EQUAL 0 AND EXISTS ${WORK}/node_modules/uplot/dist/uPlot.iife.min.js)
  write_scripts()
else()
  message(STATUS "npm could not install uPlot (${ended}): the report page has static charts alone")
  write_none()
endif()
