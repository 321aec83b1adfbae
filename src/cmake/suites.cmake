cmake_minimum_required(VERSION 3.25)

# Writes one ctest entry for each suite of a GoogleTest program, but its slow cases.
# usage: cmake -DPROGRAM=FILE -DRUNNER=tests/suite.sh -DENTRIES=FILE -P suites.cmake
execute_process(COMMAND ${PROGRAM} --gtest_list_tests --gtest_filter=-*Slow*
                OUTPUT_FILE ${ENTRIES}.listed COMMAND_ERROR_IS_FATAL ANY)
# "Suite.", perhaps with a remark; its cases stand indented below it.
file(STRINGS ${ENTRIES}.listed suites REGEX "^[^ ]+\\.( |$)")
# The longest start first, or one of them ends alone.
set(longest Languages UpdateCommand LearnCommand Changeover TableCommand CarryLines Posterior WayToThePump
            GuideOfSeveralFills UpdateLogs)
set(entries)
foreach(suite IN LISTS suites)
  string(REGEX REPLACE "\\.( .*)?$" "" suite "${suite}")
  string(APPEND entries "add_test([==[${suite}]==] bash [==[${RUNNER}]==] [==[${PROGRAM}]==] [==[${suite}]==])\n"
                        "set_tests_properties([==[${suite}]==] PROPERTIES LABELS unit TIMEOUT 1800")
  if(suite IN_LIST longest)
    string(APPEND entries " COST 100")
  endif()
  string(APPEND entries ")\n")
endforeach()
file(WRITE ${ENTRIES} "${entries}")
