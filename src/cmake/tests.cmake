# Tests: one ctest entry a GoogleTest case (label unit, or slow where the name says Slow), or one a
# suite without what is slow where BLENDRISK_TESTS_BY_SUITE is on; and whole-program checks (label
# program).
find_package(GTest REQUIRED)
find_package(GSL REQUIRED)
include(GoogleTest)

file(GLOB_RECURSE test_sources CONFIGURE_DEPENDS tests/*_test.cpp)
list(FILTER test_sources EXCLUDE REGEX "/tests/(bench|fuzz|package)/")
add_executable(blendrisk_tests ${test_sources} tests/source_dir.cpp)
blendrisk_flags(blendrisk_tests)
target_compile_options(blendrisk_tests PRIVATE ${BLENDRISK_PLAIN_FLAGS})
# All of the library comes first, so that of an inline function that both have its own stays.
target_link_options(blendrisk_tests PRIVATE LINKER:--whole-archive
  $<TARGET_FILE:blendrisk> $<TARGET_FILE:blendrisk_cli> LINKER:--no-whole-archive)
set_source_files_properties(tests/source_dir.cpp PROPERTIES
  COMPILE_DEFINITIONS BLENDRISK_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
target_link_libraries(blendrisk_tests PRIVATE blendrisk_cli GTest::gtest_main GTest::gmock
                                              GSL::gsl Threads::Threads)
# Files whose helpers are named as another's have a namespace of their own.
blendrisk_batches(blendrisk_tests 7)
if(BLENDRISK_PRECOMPILE OR batches)
  target_precompile_headers(blendrisk_tests PRIVATE ${large_headers} <gmock/gmock.h> <gtest/gtest.h>)
  # GCC 12 then sees overruns of std::string that cannot be.
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
    target_compile_options(blendrisk_tests PRIVATE -Wno-array-bounds -Wno-stringop-overflow)
  endif()
endif()

if(BLENDRISK_TESTS_BY_SUITE)
  set(entries ${PROJECT_BINARY_DIR}/suites.cmake)
  add_custom_command(TARGET blendrisk_tests POST_BUILD VERBATIM
    COMMAND ${CMAKE_COMMAND} -DPROGRAM=$<TARGET_FILE:blendrisk_tests> -DENTRIES=${entries}
            -DRUNNER=${PROJECT_SOURCE_DIR}/tests/suite.sh -P ${PROJECT_SOURCE_DIR}/src/cmake/suites.cmake)
  if(NOT EXISTS ${entries})
    file(WRITE ${entries} "")
  endif()
  set_property(DIRECTORY APPEND PROPERTY TEST_INCLUDE_FILES ${entries})
else()
  gtest_discover_tests(blendrisk_tests TEST_FILTER "-*Slow*"
    WORKING_DIRECTORY ${PROJECT_SOURCE_DIR} DISCOVERY_TIMEOUT 120 PROPERTIES LABELS unit TIMEOUT 300)
  gtest_discover_tests(blendrisk_tests TEST_FILTER "*Slow*"
    WORKING_DIRECTORY ${PROJECT_SOURCE_DIR} DISCOVERY_TIMEOUT 120 PROPERTIES LABELS slow TIMEOUT 600 COST 100)
endif()

# Each fuzz target over its corpus and some mutations of it, for which any compiler will do.
set(replays)
file(GLOB fuzz_targets CONFIGURE_DEPENDS tests/fuzz/*.cpp)
list(FILTER fuzz_targets EXCLUDE REGEX "/replay\\.cpp$")
foreach(source IN LISTS fuzz_targets)
  cmake_path(GET source STEM name)
  add_executable(replay_${name} tests/fuzz/replay.cpp ${source})
  blendrisk_flags(replay_${name})
  target_link_libraries(replay_${name} PRIVATE blendrisk_cli)
  list(APPEND replays replay_${name})
  add_test(NAME replay.${name}
           COMMAND replay_${name} ${PROJECT_SOURCE_DIR}/tests/fuzz/corpus/${name} 3000)
  set_tests_properties(replay.${name} PROPERTIES LABELS unit TIMEOUT 300)
endforeach()
add_custom_target(blendrisk_replays DEPENDS ${replays})

function(add_program_test name)
  add_test(NAME ${name} COMMAND ${ARGN} WORKING_DIRECTORY ${PROJECT_SOURCE_DIR})
  set_tests_properties(${name} PROPERTIES LABELS program TIMEOUT 300)
endfunction()

add_program_test(layering ${CMAKE_COMMAND} -DROOT=${PROJECT_SOURCE_DIR}
                 -P ${PROJECT_SOURCE_DIR}/tests/layering.cmake)

file(GLOB examples CONFIGURE_DEPENDS examples/*.ini)
foreach(example IN LISTS examples)
  cmake_path(GET example STEM name)
  add_program_test(example.${name} ${CMAKE_COMMAND} -DPROGRAM=$<TARGET_FILE:blendrisk_program>
                   -DSCENARIO=${example} -P ${PROJECT_SOURCE_DIR}/tests/examples_test.cmake)
endforeach()

find_program(BLENDRISK_BASH bash REQUIRED)
add_program_test(threads ${BLENDRISK_BASH} tests/threads.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(table ${BLENDRISK_BASH} tests/table.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(shop_faults ${BLENDRISK_BASH} tests/shop_faults.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(cluster ${BLENDRISK_BASH} tests/cluster.sh $<TARGET_FILE:blendrisk_program>)
set_tests_properties(cluster PROPERTIES SKIP_RETURN_CODE 77)
add_program_test(faults ${BLENDRISK_BASH} tests/faults.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(faults_twin ${BLENDRISK_BASH} tests/faults_twin.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(readme ${BLENDRISK_BASH} tests/readme.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(pictures ${BLENDRISK_BASH} tests/pictures.sh $<TARGET_FILE:blendrisk_program>)
add_program_test(page ${BLENDRISK_BASH} tests/page.sh $<TARGET_FILE:blendrisk_program>
                 ${PROJECT_BINARY_DIR})
set_tests_properties(pictures page PROPERTIES SKIP_RETURN_CODE 77)
if(BLENDRISK_PAGE_MODULE)
  string(REGEX REPLACE "\\.gz$" "" unpacked ${module})
  find_program(BLENDRISK_NODE node REQUIRED)
  add_program_test(module ${BLENDRISK_NODE} tests/browser/check.cjs $<TARGET_FILE:blendrisk_program> ${unpacked})
  add_program_test(live_page ${BLENDRISK_BASH} tests/page.sh $<TARGET_FILE:blendrisk_program> ${PROJECT_BINARY_DIR} live)
  set_tests_properties(live_page PROPERTIES SKIP_RETURN_CODE 77 TIMEOUT 600 PROCESSORS 2)
endif()
add_program_test(package ${BLENDRISK_BASH} tests/package/run.sh ${PROJECT_BINARY_DIR}
                 ${CMAKE_COMMAND} ${CMAKE_CXX_COMPILER})
add_program_test(deb ${BLENDRISK_BASH} tests/package/deb.sh ${PROJECT_BINARY_DIR} ${CMAKE_CPACK_COMMAND}
                 ${CMAKE_COMMAND} ${CMAKE_CXX_COMPILER})
add_program_test(manual ${BLENDRISK_BASH} tests/package/manual.sh $<TARGET_FILE:blendrisk_program>
                 ${PROJECT_BINARY_DIR}/pages)
add_program_test(completion ${BLENDRISK_BASH} tests/package/completion.sh
                 $<TARGET_FILE:blendrisk_program> ${PROJECT_SOURCE_DIR}/src/cmake/completion.bash)
set_tests_properties(deb manual PROPERTIES SKIP_RETURN_CODE 77)

# Python as the system has it, where its NumPy and SciPy are; exit status 77 says they are missing.
find_program(BLENDRISK_PYTHON python3 PATHS /usr/bin NO_DEFAULT_PATH)
find_program(BLENDRISK_PYTHON python3)
if(BLENDRISK_PYTHON)
  add_program_test(reference ${BLENDRISK_PYTHON} -B tests/reference/check.py
                   $<TARGET_FILE:blendrisk_program> --scenarios 6)
  add_program_test(openturns ${BLENDRISK_PYTHON} -B tests/reference/openturns_check.py
                   $<TARGET_FILE:blendrisk_program>)
  add_program_test(exact ${BLENDRISK_PYTHON} -B tests/bench/exact.py tests/scenarios.hpp)
  add_program_test(sources ${BLENDRISK_PYTHON} -B tests/sources.py)
  add_program_test(invented_shop ${BLENDRISK_PYTHON} -B tests/evidence/invented_shop.py --check
                   examples/invented-shop.csv)
  add_program_test(log_fit ${BLENDRISK_PYTHON} -B tests/numeric/log_fit.py src/numeric/simd_math.hpp)
  add_program_test(steady ${BLENDRISK_PYTHON} -B tests/reference/steady.py
                   $<TARGET_FILE:blendrisk_program> --scenarios 6 --seeds 2)
  add_program_test(year ${BLENDRISK_PYTHON} -B tests/reference/year.py
                   $<TARGET_FILE:blendrisk_program> --shops 2 --years 20000 --changes 3)
  set_tests_properties(reference year steady openturns exact PROPERTIES SKIP_RETURN_CODE 77)
  set_tests_properties(reference PROPERTIES TIMEOUT 600)
endif()

if(BLENDRISK_PYTHON)
  add_program_test(mutation ${BLENDRISK_PYTHON} -B tests/mutation/run.py --texts)
  add_program_test(hostile ${BLENDRISK_PYTHON} -B tests/hostile.py $<TARGET_FILE:blendrisk_program>)
  add_program_test(memory ${BLENDRISK_PYTHON} -B tests/memory.py $<TARGET_FILE:blendrisk_program>)
  set_tests_properties(hostile memory PROPERTIES TIMEOUT 600)
endif()
set_tests_properties(faults PROPERTIES TIMEOUT 600)
# The longest start first, or one of them ends alone; before all the one that wants two processors, which
# are hardly ever free at once later on.
set(longest live_page reference hostile faults faults_twin pictures deb page threads steady openturns memory)
set(cost 300)
foreach(name IN LISTS longest)
  if(TEST ${name})
    set_tests_properties(${name} PROPERTIES COST ${cost})
    math(EXPR cost "${cost} - 1")
  endif()
endforeach()

find_program(BLENDRISK_CLANG_FORMAT clang-format)
if(BLENDRISK_CLANG_FORMAT)
  add_program_test(format ${BLENDRISK_BASH} -c
    "find models src tests -name '*.[ch]pp' -print0 | xargs -0 '${BLENDRISK_CLANG_FORMAT}' --dry-run --Werror")
endif()
