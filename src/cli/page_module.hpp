#pragma once

#include <string_view>

/// What `guide` makes a page compute with, as it was built into the program, see
/// src/cmake/page_module.cmake.
namespace blendrisk::cli {

/// The module, gzipped WebAssembly in base64; empty where the program was built without.
std::string_view page_module();

/// The script that opens the module, and that of the page.
std::string_view page_opening();
std::string_view page_script();

}  // namespace blendrisk::cli
