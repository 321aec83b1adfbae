cmake_minimum_required(VERSION 3.25)

# An example runs, and its conditional answer agrees with crude Monte Carlo.
# usage: cmake -DPROGRAM=... -DSCENARIO=... -P examples_test.cmake
#
# Two 95 % intervals of the same chance fail to overlap in at most 1 of 20 crude runs; three crude
# runs with different seeds all fail in at most 1 of 8000. The twin is a wrong heel content, which
# every one of the three must reject.

function(outside out_low out_high)
  execute_process(COMMAND ${PROGRAM} chance ${SCENARIO} --json ${ARGN}
                  RESULT_VARIABLE status OUTPUT_VARIABLE json ERROR_VARIABLE errors)
  if(NOT status EQUAL 0 OR NOT errors STREQUAL "")
    message(FATAL_ERROR "${SCENARIO} ${ARGN}: status ${status}, ${errors}")
  endif()
  string(JSON low GET "${json}" outside interval_95 0)
  string(JSON high GET "${json}" outside interval_95 1)
  if(NOT low LESS_EQUAL high OR low LESS 0 OR high GREATER 1)
    message(FATAL_ERROR "${SCENARIO} ${ARGN}: interval [${low}, ${high}]")
  endif()
  set(${out_low} ${low} PARENT_SCOPE)
  set(${out_high} ${high} PARENT_SCOPE)
endfunction()

# Its numbers are sourced or invented, and it says so.
file(READ ${SCENARIO} text)
foreach(words "# Invented car, invented pump" "# Numbers without a source beside them are invented.")
  string(FIND "${text}" "${words}" at)
  if(at EQUAL -1)
    message(FATAL_ERROR "${SCENARIO} does not say '${words}'")
  endif()
endforeach()

outside(low high)
outside(wrong_low wrong_high --heel.content "45 %")
set(agree 0)
set(wrong_agree 0)
foreach(seed 11 12 13)
  outside(crude_low crude_high --method crude --cases 1e6 --seed ${seed})
  if(crude_low LESS_EQUAL high AND low LESS_EQUAL crude_high)
    math(EXPR agree "${agree} + 1")
  endif()
  if(crude_low LESS_EQUAL wrong_high AND wrong_low LESS_EQUAL crude_high)
    math(EXPR wrong_agree "${wrong_agree} + 1")
  endif()
endforeach()
if(agree EQUAL 0)
  message(FATAL_ERROR "${SCENARIO}: conditional [${low}, ${high}] agrees with no crude run")
endif()
if(wrong_agree GREATER 0)
  message(FATAL_ERROR "${SCENARIO}: a wrong heel content passes for the right one")
endif()
