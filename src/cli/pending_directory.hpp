#pragma once

#include <string>

namespace blendrisk::cli {

/// A directory that is filled beside `path`, as "DIR.part-" and the number of the process, and
/// takes its place when all is in it. Until then it goes away with the object.
class PendingDirectory {
 public:
  /// @throws text::Error where `path` is a file, or a directory with anything in it, or none can be
  /// made beside it
  explicit PendingDirectory(const std::string& path);
  PendingDirectory(const PendingDirectory&) = delete;
  PendingDirectory& operator=(const PendingDirectory&) = delete;
  ~PendingDirectory();

  /// A file of it. @throws text::Error as write_output
  void write(const std::string& name, const std::string& text) const;
  /// @throws text::Error where it cannot take the place
  void finish();

 private:
  std::string path_, pending_;
};

}  // namespace blendrisk::cli
