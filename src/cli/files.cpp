#include "cli/files.hpp"

#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <system_error>

namespace blendrisk::cli {
namespace {

std::string reason(int code) {
  std::string text = std::generic_category().message(code);
  if (!text.empty() && text.front() >= 'A' && text.front() <= 'Z') {
    text.front() = static_cast<char>(text.front() - 'A' + 'a');
  }
  return text;
}

}  // namespace

std::string read_bytes(const std::string& path, std::size_t most) {
  // Some systems open a directory for reading and fail late.
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) throw FileError("is a directory");
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"),
                                                             &std::fclose);
  if (!file) throw FileError("cannot be opened (" + reason(errno) + ")");
  std::string bytes;
  std::string block(1U << 16U, '\0');
  while (bytes.size() <= most) {
    const std::size_t wanted = std::min(block.size(), most + 1 - bytes.size());
    const std::size_t got = std::fread(block.data(), 1, wanted, file.get());
    bytes.append(block, 0, got);
    if (got < wanted) break;
  }
  if (std::ferror(file.get()) != 0) throw FileError("cannot be read (" + reason(errno) + ")");
  return bytes;
}

void write_whole(const std::string& path, const std::string& text) {
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) throw FileError("is a directory");
  const std::string temporary = path + ".part-" + std::to_string(::getpid());
  errno = 0;
  std::FILE* file = std::fopen(temporary.c_str(), "wb");
  if (file == nullptr) throw FileError("cannot be written (" + reason(errno) + ")");
  const bool written = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  const int write_error = errno;
  const bool closed = std::fclose(file) == 0;
  const int close_error = errno;
  std::error_code rename_error;
  if (written && closed) std::filesystem::rename(temporary, path, rename_error);
  if (written && closed && !rename_error) return;
  std::filesystem::remove(temporary, ignored);
  const int code = !written ? write_error : (!closed ? close_error : rename_error.value());
  throw FileError("cannot be written (" + reason(code) + ")");
}

std::string path_beside(const std::string& origin, const std::string& path) {
  return (std::filesystem::path(origin).parent_path() / path).string();
}

}  // namespace blendrisk::cli
