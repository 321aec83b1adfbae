#include "cli/gnuplot.hpp"

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <memory>
#include <string_view>
#include <thread>

// The library's own warnings are not ours.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wpedantic"
#include <gnuplot-iostream.h>
#pragma GCC diagnostic pop

#include "cli/files.hpp"
#include "text/error.hpp"
#include "text/quoting.hpp"

extern char** environ;  // NOLINT: POSIX names it so

namespace blendrisk::cli {
namespace {

[[noreturn]] void fail(const std::string& what) {
  throw text::Error("gnuplot " + what, "an --output that ends in .csv needs no gnuplot", {},
                    text::Fault::surroundings);
}

using File = std::unique_ptr<std::FILE, int (*)(std::FILE*)>;

/// A file without a name between a child and us.
File scratch() {
  File file(std::tmpfile(), &std::fclose);
  if (!file) fail("could not be run: no temporary file can be made");
  return file;
}

std::string contents(std::FILE* file) {
  std::rewind(file);
  std::string text;
  std::array<char, 1U << 14U> block{};
  while (const std::size_t got = std::fread(block.data(), 1, block.size(), file)) {
    text.append(block.data(), got);
  }
  return text;
}

/// Starts it between files. @return its number
pid_t started(std::FILE* in, std::FILE* out, std::FILE* err) {
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, ::fileno(in), STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, ::fileno(out), STDOUT_FILENO);
  posix_spawn_file_actions_adddup2(&actions, ::fileno(err), STDERR_FILENO);
  std::string program = "gnuplot";
  std::string no_settings = "--default-settings";  // of the user's or the system's
  const std::array<char*, 3> arguments{program.data(), no_settings.data(), nullptr};
  // What we ignore would be ignored by it as well.
  sigset_t signals;
  sigemptyset(&signals);
  for (const int signal : {SIGPIPE, SIGXFSZ}) sigaddset(&signals, signal);
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  posix_spawnattr_setsigdefault(&attributes, &signals);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGDEF);
  pid_t pid = -1;
  const int error =
      ::posix_spawnp(&pid, "gnuplot", &actions, &attributes, arguments.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  if (error == ENOENT) fail("is not installed");
  if (error != 0) fail(std::string("could not be run (") + std::strerror(error) + ")");
  return pid;
}

/// Waits until it has ended, or ends it. @return its status as of waitpid, none where it was late
std::optional<int> ended(pid_t pid, std::chrono::seconds limit) {
  const auto late = std::chrono::steady_clock::now() + limit;
  int status = 0;
  for (pid_t got = 0; got == 0 || (got < 0 && errno == EINTR);) {
    got = ::waitpid(pid, &status, WNOHANG);
    if (got != 0) continue;
    if (std::chrono::steady_clock::now() > late) {
      ::kill(pid, SIGKILL);
      while (::waitpid(pid, &status, 0) < 0 && errno == EINTR) {
      }
      return {};
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return status;
}

std::string first_line(const std::string& text) {
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    const std::string line = text.substr(from, end - from);
    // What it says, not the caret below the place.
    if (line.find_first_not_of(" \t^") != std::string::npos) return text::escaped(line);
    from = end + 1;
  }
  return {};
}

/// Whether a picture goes on to its end, which gnuplot does not say where its disk was full.
bool is_whole(std::string_view picture) {
  using namespace std::string_view_literals;
  while (picture.ends_with('\n')) picture.remove_suffix(1);
  if (picture.starts_with("\x89PNG")) return picture.ends_with("IEND\xae\x42\x60\x82"sv);
  return picture.ends_with(picture.starts_with("%PDF") ? "%%EOF"sv : "</svg>"sv);
}

}  // namespace

std::string drawn(const std::string& script, std::chrono::seconds limit) {
  const File in = scratch();
  const File out = scratch();
  const File err = scratch();
  {
    Gnuplot plot(::fdopen(::dup(::fileno(in.get())), "w"));  // which closes it
    if (!(plot << script << std::flush)) fail("could not be run: its script cannot be written");
  }
  std::rewind(in.get());
  const std::optional<int> status = ended(started(in.get(), out.get(), err.get()), limit);
  if (!status) fail("took longer than " + std::to_string(limit.count()) + " s and was ended");
  const std::string said = first_line(contents(err.get()));
  if (WIFSIGNALED(*status)) fail("died of signal " + std::to_string(WTERMSIG(*status)));
  if (!WIFEXITED(*status) || WEXITSTATUS(*status) != 0) {
    fail("failed" + (said.empty() ? "" : " (" + said + ")"));
  }
  std::string picture = contents(out.get());
  const std::string why = said.empty() ? "" : " (" + said + ")";
  if (picture.empty()) fail("drew nothing" + why);
  if (!is_whole(picture)) fail("drew only a part of the picture" + why);
  return picture;
}

std::optional<render::PictureFormat> picture_format(const std::string& path) {
  if (path.ends_with(".svg")) return render::PictureFormat::svg;
  if (path.ends_with(".png")) return render::PictureFormat::png;
  if (path.ends_with(".pdf")) return render::PictureFormat::pdf;
  return {};
}

void write_picture(const std::string& path, const answer::Figure& figure,
                   render::PictureFormat format) {
  write_output(path, drawn(render::gnuplot_script(figure, format)));
}

}  // namespace blendrisk::cli
