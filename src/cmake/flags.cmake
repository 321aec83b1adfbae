# The compiler flags of every target of this project.
function(blendrisk_flags target)
  set_target_properties(${target} PROPERTIES CXX_EXTENSIONS OFF CXX_STANDARD_REQUIRED ON)
  target_compile_features(${target} PRIVATE cxx_std_20)
  # No -ffast-math: infinities, NaN and the order of sums keep their meaning. What is given up is
  # errno, floating-point traps and the separate rounding of a product before a sum.
  target_compile_options(${target} PRIVATE
    -Wall -Wextra -Wpedantic -Wconversion -Wshadow
    -fno-math-errno -fno-trapping-math -ffp-contract=fast)
  # GCC 12 sees overlaps in "text" + std::string that cannot be (GCC bug 105651, mended in 13).
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
    target_compile_options(${target} PRIVATE -Wno-restrict)
  endif()
  if(BLENDRISK_NO_CLONES)
    target_compile_definitions(${target} PRIVATE BLENDRISK_NO_CLONES)
  endif()
endfunction()
