#include "cli/pending_directory.hpp"

#include <unistd.h>

#include <filesystem>
#include <system_error>

#include "cli/files.hpp"
#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

constexpr const char* k_directory_accepted = "a new directory, or an empty one, is accepted";

[[noreturn]] void refuse_directory(const std::string& path, const std::string& doing,
                                   const std::error_code& code) {
  throw text::Error("cannot be " + doing + " (" + code.message() + ")", {}, {path},
                    text::Fault::surroundings);
}

}  // namespace

PendingDirectory::PendingDirectory(const std::string& path) : path_(path) {
  namespace fs = std::filesystem;
  while (path_.size() > 1 && path_.ends_with('/')) path_.pop_back();
  std::error_code code;
  const fs::file_status status = fs::status(path_, code);
  if (fs::exists(status) && !fs::is_directory(status)) {
    throw text::Error("is a file", k_directory_accepted, {path_});
  }
  if (fs::exists(status) && !fs::is_empty(path_, code)) {
    if (code) refuse_directory(path_, "read", code);
    throw text::Error("is not empty", k_directory_accepted, {path_});
  }
  const std::string pending = path_ + ".part-" + std::to_string(::getpid());
  if (!fs::create_directory(pending, code)) {
    if (!code) code = std::make_error_code(std::errc::file_exists);
    refuse_directory(pending, "made", code);
  }
  pending_ = pending;
}

PendingDirectory::~PendingDirectory() {
  std::error_code ignored;
  if (!pending_.empty()) std::filesystem::remove_all(pending_, ignored);
}

void PendingDirectory::write(const std::string& name, const std::string& text) const {
  write_output(pending_ + "/" + name, text);
}

void PendingDirectory::finish() {
  std::error_code code;
  std::filesystem::rename(pending_, path_, code);
  if (code) refuse_directory(path_, "put in place", code);
  pending_.clear();
}

}  // namespace blendrisk::cli
