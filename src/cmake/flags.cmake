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

# Where CMAKE_UNITY_BUILD is on, the library and the commands are compiled `size` files of a folder
# at a time, which parses the headers that they share once and compiles their inline functions once.
# A batch has files of one folder, but for small folders, which share one.
set(batch_of_text text_units)
set(batch_of_units text_units)
set(batch_of_render render_ask)
set(batch_of_ask render_ask)
set(batch_of_models models_numeric)
set(batch_of_numeric models_numeric)
set(batches ${CMAKE_UNITY_BUILD})
set(CMAKE_UNITY_BUILD OFF)
function(blendrisk_batches target size)
  set_target_properties(${target} PROPERTIES UNITY_BUILD "${batches}" UNITY_BUILD_MODE GROUP)
  get_target_property(sources ${target} SOURCES)
  foreach(source IN LISTS sources)
    cmake_path(GET source PARENT_PATH folder)
    cmake_path(GET folder FILENAME folder)
    if(DEFINED batch_of_${folder})
      set(folder ${batch_of_${folder}})
    endif()
    math(EXPR count_${folder} "${count_${folder}} + 1")
    math(EXPR batch "(${count_${folder}} - 1) / ${size} + 1")
    set_source_files_properties(${source} PROPERTIES UNITY_GROUP ${folder}_${batch})
  endforeach()
endfunction()
