# What `guide` makes a page compute with: src/browser's scripts and the module that the preset browser
# makes, as texts of the program. Raw texts are cut, since compilers bound the length of one.
set(BLENDRISK_PAGE_MODULE "" CACHE FILEPATH
    "The gzipped module that pages compute with (build/browser/blendrisk.wasm.gz); empty: pages do not")
set(BLENDRISK_PAGE_MODULE_TEXT "\"\"")
if(BLENDRISK_PAGE_MODULE)
  cmake_path(ABSOLUTE_PATH BLENDRISK_PAGE_MODULE BASE_DIRECTORY ${PROJECT_SOURCE_DIR} OUTPUT_VARIABLE module)
  if(NOT EXISTS ${module})
    message(FATAL_ERROR "BLENDRISK_PAGE_MODULE: there is no ${module}; `cmake --build --preset browser` makes it")
  endif()
  find_program(BLENDRISK_BASE64 base64 REQUIRED)
  execute_process(COMMAND ${BLENDRISK_BASE64} -w 8000 ${module}
                  OUTPUT_VARIABLE text COMMAND_ERROR_IS_FATAL ANY)
  string(STRIP "${text}" text)
  string(REPLACE "\n" "\"\n\"" text "${text}")
  set(BLENDRISK_PAGE_MODULE_TEXT "\"${text}\"")
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${module})
endif()
foreach(script opening page)
  file(READ src/browser/${script}.js BLENDRISK_${script}_SCRIPT)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS src/browser/${script}.js)
endforeach()
configure_file(src/cmake/page_module.cpp.in generated/page_module.cpp @ONLY)
