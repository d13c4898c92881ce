# The libraries in dependency order: a library may depend only on those before it.
set(ENDPIN_LAYERS
  base words timeline hearing score notation instrument study technique lesson dsp listen perform media
  book)
# Those that the browser's build has too.
set(ENDPIN_WASM_LAYERS base words timeline hearing dsp listen)
# Those of them whose speed is heard.
set(ENDPIN_WASM_QUICK dsp listen)

# endpin_library(NAME
#   SOURCES file…          below src/
#   DEPENDS layer…         other libraries of ours; refused unless they come earlier in the order
#   LINKS target…          third-party, private
#   PUBLIC_LINKS target…   third-party, seen in our headers
#   TESTS file…            below tests/
#   TEST_LINKS target…)    what only the tests need
# makes the target endpin_NAME (alias endpin::NAME) and, with tests on, endpin_NAME_tests.
function(endpin_library name)
  cmake_parse_arguments(arg "" "" "SOURCES;DEPENDS;LINKS;PUBLIC_LINKS;TESTS;TEST_LINKS" ${ARGN})
  if(arg_UNPARSED_ARGUMENTS)
    message(FATAL_ERROR "endpin_library(${name}): unknown words: ${arg_UNPARSED_ARGUMENTS}")
  endif()
  list(FIND ENDPIN_LAYERS ${name} own_rank)
  if(own_rank EQUAL -1)
    message(FATAL_ERROR "endpin_library(${name}): not in ENDPIN_LAYERS, add it in its place")
  endif()
  foreach(other IN LISTS arg_DEPENDS)
    list(FIND ENDPIN_LAYERS ${other} other_rank)
    if(other_rank EQUAL -1 OR NOT other_rank LESS own_rank)
      message(FATAL_ERROR "endpin_library(${name}): may not depend on ${other}, "
        "which does not come before it in the dependency order")
    endif()
  endforeach()

  list(TRANSFORM arg_SOURCES PREPEND src/)
  list(TRANSFORM arg_DEPENDS PREPEND endpin::)
  add_library(endpin_${name} STATIC ${arg_SOURCES})
  add_library(endpin::${name} ALIAS endpin_${name})
  target_include_directories(endpin_${name} PUBLIC include PRIVATE src)
  target_link_libraries(endpin_${name}
    PUBLIC ${arg_DEPENDS} ${arg_PUBLIC_LINKS}
    PRIVATE endpin_options ${arg_LINKS})
  # The page carries the module inside: only where time is spent is speed worth bytes.
  if(EMSCRIPTEN AND NOT name IN_LIST ENDPIN_WASM_QUICK)
    target_compile_options(endpin_${name} PRIVATE -Oz)
  endif()

  if(ENDPIN_TESTS AND NOT EMSCRIPTEN AND arg_TESTS)
    list(TRANSFORM arg_TESTS PREPEND tests/)
    endpin_test(endpin_${name}_tests
      SOURCES ${arg_TESTS} LINKS endpin::${name} ${arg_LINKS} ${arg_TEST_LINKS})
    target_include_directories(endpin_${name}_tests PRIVATE src)
  endif()
endfunction()

# endpin_test(TARGET SOURCES file… LINKS target…): one GoogleTest program, its tests found by CTest.
function(endpin_test target)
  cmake_parse_arguments(arg "" "" "SOURCES;LINKS" ${ARGN})
  add_executable(${target} ${arg_SOURCES})
  target_link_libraries(${target} PRIVATE
    endpin_options ${arg_LINKS} GTest::gtest GTest::gmock GTest::gtest_main)
  target_compile_definitions(${target} PRIVATE ENDPIN_SOURCE_DIR="${CMAKE_SOURCE_DIR}"
    ENDPIN_BINARY_DIR="${CMAKE_BINARY_DIR}")
  gtest_discover_tests(${target} DISCOVERY_TIMEOUT 60 PROPERTIES TIMEOUT 300)
endfunction()
