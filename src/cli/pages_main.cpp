// Makes the manual pages and the completion, while the project is built.
// usage: blendrisk_pages DIRECTORY DATE
#include <fstream>
#include <iostream>
#include <string>

#include "cli/completion.hpp"
#include "cli/manual.hpp"

namespace {

bool write(const std::string& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text << std::flush;
  if (!file) std::cerr << "blendrisk_pages: " << path << " cannot be written\n";
  return static_cast<bool>(file);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::cerr << "usage: blendrisk_pages DIRECTORY DATE\n";
    return 2;
  }
  const std::string directory = std::string(argv[1]) + "/";
  const std::string date = argv[2];
  using namespace blendrisk::cli;
  const bool written = write(directory + "blendrisk.1", program_manual(date)) &&
                       write(directory + "blendrisk-scenario.5", scenario_manual(date)) &&
                       write(directory + "blendrisk.bash", bash_completion());
  return written ? 0 : 1;
}
