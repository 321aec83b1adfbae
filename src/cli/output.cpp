#include "cli/output.hpp"

#include <stdexcept>

#include "cli/files.hpp"
#include "cli/gnuplot.hpp"
#include "scenario/quoting.hpp"

namespace blendrisk::cli {

std::optional<report::PictureFormat> picture_format(const std::string& path) {
  if (path.ends_with(".svg")) return report::PictureFormat::svg;
  if (path.ends_with(".png")) return report::PictureFormat::png;
  if (path.ends_with(".pdf")) return report::PictureFormat::pdf;
  return {};
}

void write_picture(const std::string& path, const report::Figure& figure,
                   report::PictureFormat format) {
  write_output(path, drawn(report::gnuplot_script(figure, format)));
}

void write_output(const std::string& path, const std::string& text) {
  try {
    write_whole(path, text);
  } catch (const FileError& error) {
    throw std::runtime_error(scenario::escaped(path) + ": " + error.what());
  }
}

}  // namespace blendrisk::cli
