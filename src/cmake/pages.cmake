# The manual pages, made from what the program says of itself by help2man and scdoc where those are
# found, and the changelog of a package. All dates are that of the newest entry of the changelog, so that a build can be repeated.
set(changelog ${PROJECT_SOURCE_DIR}/src/cmake/debian/changelog)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${changelog})
file(STRINGS ${changelog} newest LIMIT_COUNT 1)
if(NOT newest MATCHES "^blendrisk \\(${PROJECT_VERSION}\\) ")
  message(FATAL_ERROR "${changelog}: the newest entry is not of version ${PROJECT_VERSION}: ${newest}")
endif()
file(STRINGS ${changelog} signed REGEX "^ -- ")
list(GET signed 0 signed)
if(NOT signed MATCHES "  [A-Z][a-z][a-z], ([0-9][0-9]) ([A-Z][a-z][a-z]) ([0-9]+) ")
  message(FATAL_ERROR "${changelog}: no date in: ${signed}")
endif()
set(day ${CMAKE_MATCH_1})
set(year ${CMAKE_MATCH_3})
set(months Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec)
list(FIND months ${CMAKE_MATCH_2} month)
math(EXPR month "${month} + 101")
string(SUBSTRING ${month} 1 2 month)

find_program(BLENDRISK_GZIP gzip REQUIRED)
find_program(BLENDRISK_HELP2MAN help2man)
find_program(BLENDRISK_SCDOC scdoc)
find_program(BLENDRISK_AWK awk REQUIRED)
set(pages_dir ${PROJECT_BINARY_DIR}/pages)
file(MAKE_DIRECTORY ${pages_dir})
# -n: no name and no time in the compressed file.
add_custom_command(
  OUTPUT ${pages_dir}/changelog.gz
  COMMAND ${CMAKE_COMMAND} -E copy ${changelog} ${pages_dir}/changelog
  COMMAND ${BLENDRISK_GZIP} -9nf ${pages_dir}/changelog
  DEPENDS ${changelog} VERBATIM)
set(pages ${pages_dir}/changelog.gz)
if(BLENDRISK_HELP2MAN AND BLENDRISK_SCDOC)
  set(manual_dir ${PROJECT_SOURCE_DIR}/src/cmake/manual)
  set(finish ${BLENDRISK_AWK} -v day=${year}-${month}-${day} -f ${manual_dir}/pages.awk)
  set(page ${pages_dir}/blendrisk.1)
  set(scenario_page ${pages_dir}/blendrisk-scenario.5)
  add_custom_command(
    OUTPUT ${page}.gz ${scenario_page}.gz
    COMMAND ${BLENDRISK_HELP2MAN} --no-info "--help-option=help manual"
            --include=${manual_dir}/blendrisk.h2m --output=${page}.made ./blendrisk
    COMMAND ./blendrisk help scenario > ${scenario_page}.parts
    COMMAND ${CMAKE_COMMAND} -E echo @starter >> ${scenario_page}.parts
    COMMAND ./blendrisk new >> ${scenario_page}.parts
    COMMAND ${BLENDRISK_AWK} -f ${manual_dir}/parts.awk ${scenario_page}.parts
            ${manual_dir}/blendrisk-scenario.scd > ${scenario_page}.scd
    COMMAND ${BLENDRISK_SCDOC} < ${scenario_page}.scd > ${scenario_page}.made
    COMMAND ${finish} ${page}.made > ${page}
    COMMAND ${finish} ${scenario_page}.made > ${scenario_page}
    COMMAND ${BLENDRISK_GZIP} -9nfk ${page} ${scenario_page}
    # help2man cannot read the program's path where that has blanks.
    WORKING_DIRECTORY ${PROJECT_BINARY_DIR}
    DEPENDS blendrisk_program ${manual_dir}/blendrisk.h2m ${manual_dir}/blendrisk-scenario.scd
            ${manual_dir}/pages.awk ${manual_dir}/parts.awk
    COMMENT "Making the manual pages" VERBATIM)
  list(APPEND pages ${page}.gz ${scenario_page}.gz)
else()
  message(STATUS "No manual pages: help2man and scdoc, which make them, are not both found")
endif()
add_custom_target(blendrisk_manual ALL DEPENDS ${pages})
