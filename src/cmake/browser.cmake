# The module of the page that computes: the library without threads and files, with src/browser in
# front, as build/browser/blendrisk.wasm.gz. Its headers are the system's, of which the compiler must
# see those that are named and no others: they would stand before its own.
find_path(BLENDRISK_BOOST_DIR boost/version.hpp PATHS /usr/include REQUIRED NO_CMAKE_FIND_ROOT_PATH)
find_path(BLENDRISK_JSON_DIR nlohmann/json.hpp PATHS /usr/include REQUIRED NO_CMAKE_FIND_ROOT_PATH)
find_path(BLENDRISK_EIGEN_DIR Eigen/Core PATHS /usr/include/eigen3 REQUIRED NO_CMAKE_FIND_ROOT_PATH)
set(headers ${PROJECT_BINARY_DIR}/headers)
file(MAKE_DIRECTORY ${headers})
file(CREATE_LINK ${BLENDRISK_BOOST_DIR}/boost ${headers}/boost SYMBOLIC)
file(CREATE_LINK ${BLENDRISK_JSON_DIR}/nlohmann ${headers}/nlohmann SYMBOLIC)
file(CREATE_LINK ${BLENDRISK_EIGEN_DIR}/Eigen ${headers}/Eigen SYMBOLIC)
file(CREATE_LINK ${BLENDRISK_EIGEN_DIR}/unsupported ${headers}/unsupported SYMBOLIC)

configure_file(src/cmake/version.hpp.in generated/version.hpp @ONLY)
file(GLOB sources CONFIGURE_DEPENDS
     models/*.cpp src/numeric/*.cpp src/text/*.cpp src/units/*.cpp src/distributions/*.cpp src/scenario/*.cpp
     src/sampling/*.cpp src/estimate/*.cpp src/tank/*.cpp src/line/*.cpp src/decide/*.cpp src/answer/*.cpp
     src/render/*.cpp src/ask/*.cpp src/browser/*.cpp)
# What tells of a shop's logs and years is no question of the page.
list(FILTER sources EXCLUDE REGEX "/(brier|calibration|point_law|test_forecast|verify|verify_figures|verify_csv|learn|shop_[a-z_]*|policy[a-z_]*|year|given_persistent)\\.cpp$")
# What computes little is made small: the module travels in every page.
set(small_sources ${sources})
list(FILTER small_sources INCLUDE REGEX "/src/(text|units|scenario|answer|render|ask|browser)/")
list(FILTER sources EXCLUDE REGEX "/src/(text|units|scenario|answer|render|ask|browser)/")
set(BLENDRISK_NO_CLONES ON)
add_library(blendrisk_module_small OBJECT ${small_sources})
add_executable(blendrisk_module ${sources} $<TARGET_OBJECTS:blendrisk_module_small>)
# A browser that unpacks the module has vectors, too. Unrolled loops would be larger, and hardly quicker.
target_compile_options(blendrisk_module PRIVATE -O2 -msimd128 -fno-unroll-loops)
target_compile_options(blendrisk_module_small PRIVATE -Oz)
foreach(part IN ITEMS blendrisk_module_small blendrisk_module)
  blendrisk_flags(${part})
  blendrisk_batches(${part} 9)
  target_include_directories(${part} PRIVATE
    ${PROJECT_SOURCE_DIR} ${PROJECT_SOURCE_DIR}/src ${PROJECT_BINARY_DIR}/generated)
  target_include_directories(${part} SYSTEM PRIVATE ${headers})
  # Promotion would compute in 128-bit floats by software. Boost.Math's own errors take streams and
  # locales with them, and each policy its own copy of a function: there is one for all.
  target_compile_definitions(${part} PRIVATE BLENDRISK_NO_WIDER_FLOATS BLENDRISK_WORDS_OF_PAGE
    BOOST_MATH_PROMOTE_DOUBLE_POLICY=false)
  foreach(error IN ITEMS DOMAIN POLE ROUNDING)
    target_compile_definitions(${part} PRIVATE BOOST_MATH_${error}_ERROR_POLICY=user_error)
  endforeach()
  foreach(error IN ITEMS OVERFLOW UNDERFLOW EVALUATION)
    target_compile_definitions(${part} PRIVATE BOOST_MATH_${error}_ERROR_POLICY=ignore_error)
  endforeach()
  # A size has 32 bits there.
  target_compile_options(${part} PRIVATE
    -fwasm-exceptions -include ${PROJECT_SOURCE_DIR}/src/browser/libcxx13.hpp
    -Wno-shadow -Wno-shorten-64-to-32 -Wno-unused-command-line-argument)
endforeach()
target_link_options(blendrisk_module PRIVATE
  -O2 -msimd128 -fwasm-exceptions --no-entry -sSTANDALONE_WASM -sALLOW_MEMORY_GROWTH -sINITIAL_MEMORY=16MB -sMAXIMUM_MEMORY=64MB
  -sEXPORTED_FUNCTIONS=_blendrisk_room,_blendrisk_answer)
set_target_properties(blendrisk_module PROPERTIES
  OUTPUT_NAME blendrisk SUFFIX .wasm RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR})
# The same format as gzip's, a twentieth smaller.
find_program(BLENDRISK_ZOPFLI zopfli REQUIRED)
add_custom_command(TARGET blendrisk_module POST_BUILD
  COMMAND ${BLENDRISK_ZOPFLI} ${PROJECT_BINARY_DIR}/blendrisk.wasm VERBATIM)
