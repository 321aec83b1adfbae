# The manual pages and the completion, made by the program's own tables, and what a package says of
# itself. All dates are that of the newest entry of the changelog, so that a build can be repeated.
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

# Linked with the tables alone; the program itself knows nothing of pages.
add_executable(blendrisk_pages src/cli/pages_main.cpp)
blendrisk_flags(blendrisk_pages)
set_target_properties(blendrisk_pages PROPERTIES
  RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR}/generated)
target_link_libraries(blendrisk_pages PRIVATE blendrisk_cli)

find_program(BLENDRISK_GZIP gzip REQUIRED)
set(pages_dir ${PROJECT_BINARY_DIR}/pages)
set(pages ${pages_dir}/blendrisk.1 ${pages_dir}/blendrisk-scenario.5)
# -n: no name and no time in the compressed file.
add_custom_command(
  OUTPUT ${pages} ${pages_dir}/blendrisk.bash ${pages_dir}/blendrisk.1.gz
         ${pages_dir}/blendrisk-scenario.5.gz ${pages_dir}/changelog.gz
  COMMAND ${CMAKE_COMMAND} -E make_directory ${pages_dir}
  COMMAND blendrisk_pages ${pages_dir} ${year}-${month}-${day}
  COMMAND ${CMAKE_COMMAND} -E copy ${changelog} ${pages_dir}/changelog
  COMMAND ${BLENDRISK_GZIP} -9nfk ${pages} ${pages_dir}/changelog
  DEPENDS blendrisk_pages ${changelog}
  COMMENT "Making the manual pages and the completion" VERBATIM)
add_custom_target(blendrisk_manual ALL DEPENDS ${pages} ${pages_dir}/blendrisk.bash)
