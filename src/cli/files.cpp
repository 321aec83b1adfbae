#include "cli/files.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string_view>
#include <system_error>

#include "cli/interrupt.hpp"
#include "text/error.hpp"

namespace blendrisk::cli {
namespace {

std::string reason(int code) {
  std::string text = std::generic_category().message(code);
  if (!text.empty() && text.front() >= 'A' && text.front() <= 'Z') {
    text.front() = static_cast<char>(text.front() - 'A' + 'a');
  }
  return text;
}

/// Where a file is made before it takes the place of `path`: beside it, and as long as a name may
/// be.
std::string temporary_beside(const std::string& path, int attempt) {
  constexpr std::size_t k_most = 200;
  const std::size_t name = path.find_last_of('/') + 1;
  std::string text = path.substr(0, name) + path.substr(name, k_most);
  text += ".part-" + std::to_string(::getpid());
  return attempt == 0 ? text : text + "-" + std::to_string(attempt);
}

/// Writes all of it, to the disk. @return 0 or what went wrong
int write_all(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(fd, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  // Some disks say only now that they are full; what has no disk under it says EINVAL.
  return ::fsync(fd) != 0 && errno != EINVAL ? errno : 0;
}

/// Makes the temporary, writes it and lets it take the place of `path`.
/// @return 0 or what went wrong; EEXIST where the temporary's name is taken
int write_through(const std::string& temporary, const std::string& path, const std::string& text) {
  // Never one that is there: it may be another process's, or lead elsewhere.
  const int fd = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (fd < 0) return errno;
  int code = write_all(fd, text);
  if (::close(fd) != 0 && code == 0) code = errno;
  if (code == 0 && ::rename(temporary.c_str(), path.c_str()) != 0) code = errno;
  if (code != 0) ::unlink(temporary.c_str());
  return code;
}

}  // namespace

std::string read_bytes(const std::string& path, std::size_t most) {
  // Some systems open a directory for reading and fail late.
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) throw text::Error("is a directory");
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"),
                                                             &std::fclose);
  if (!file) throw text::Error("cannot be opened (" + reason(errno) + ")");
  std::string bytes;
  std::string block(1U << 16U, '\0');
  while (bytes.size() <= most) {
    const std::size_t wanted = std::min(block.size(), most + 1 - bytes.size());
    const std::size_t got = std::fread(block.data(), 1, wanted, file.get());
    bytes.append(block, 0, got);
    if (got < wanted) break;
  }
  if (std::ferror(file.get()) != 0) throw text::Error("cannot be read (" + reason(errno) + ")");
  return bytes;
}

void write_output(const std::string& path, const std::string& text) {
  const auto refuse = [&](const std::string& why) {
    throw text::Error(why, {}, {path}, text::Fault::surroundings);
  };
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) refuse("is a directory");
  int code = EEXIST;
  for (int attempt = 0; code == EEXIST && attempt < 100; ++attempt) {
    const std::string temporary = temporary_beside(path, attempt);
    if (::access(temporary.c_str(), F_OK) == 0) continue;
    const RemovedOnSignal guard(temporary);
    code = write_through(temporary, path, text);
  }
  if (code != 0) refuse("cannot be written (" + reason(code) + ")");
}

std::string path_beside(const std::string& origin, const std::string& named) {
  return (std::filesystem::path(origin).parent_path() / named).string();
}

}  // namespace blendrisk::cli
