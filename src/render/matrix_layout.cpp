#include "render/matrix_layout.hpp"

#include <algorithm>

#include "answer/plain_text.hpp"
#include "render/label_places.hpp"
#include "render/text_size.hpp"

namespace blendrisk::render {
namespace {

constexpr double k_most_names = 220.0;  ///< for the names of rows [px]
constexpr double k_pad = 7.0;           ///< around what stands in a cell
constexpr double k_least_cell = 84.0;
constexpr double k_widest_cell = 190.0;

/// How the texts of a grid break.
struct Columns {
  double names = 0.0, cell = k_least_cell;
};

Columns columns_of(const Figure& figure, double font) {
  Columns columns;
  for (const answer::FigureCells& row : figure.matrix) {
    columns.names =
        std::max(columns.names, text_block(row.label, k_most_names, font).width + k_pad);
    for (const answer::FigureCell& cell : row.cells) {
      const double wide = text_width(answer::cleaned(cell.text)) * font + 2.0 * k_pad;
      columns.cell = std::clamp(wide, columns.cell, std::max(columns.cell, k_widest_cell));
    }
  }
  return columns;
}

/// A block of lines around its middle.
void put(FigureLayout& out, const TextBlock& block, double x, double middle, Align align) {
  const double line = k_line_height * out.font;
  double y = middle - 0.5 * block.height + 0.5 * line;
  for (const std::string& text : block.lines) {
    out.texts.push_back({text, x, y, align});
    y += line;
  }
}

}  // namespace

double matrix_width(const Figure& figure, double least, double font) {
  const Columns columns = columns_of(figure, font);
  const auto count = static_cast<double>(figure.matrix_columns.size());
  return std::max(least, 2.0 * k_edge + columns.names + count * columns.cell);
}

double lay_out_matrix(const Figure& figure, FigureLayout& out, double top) {
  const Columns columns = columns_of(figure, out.font);
  const double left = k_edge + columns.names;
  const double wide =
      (out.width - k_edge - left) / static_cast<double>(figure.matrix_columns.size());
  const auto middle_of = [&](std::size_t column) {
    return left + (static_cast<double>(column) + 0.5) * wide;
  };
  std::vector<TextBlock> heads;
  double head = 0.0;
  for (const std::string& name : figure.matrix_columns) {
    heads.push_back(text_block(name, wide - k_pad, out.font));
    head = std::max(head, heads.back().height);
  }
  for (std::size_t c = 0; c < heads.size(); ++c) {
    put(out, heads[c], middle_of(c), top + head - 0.5 * heads[c].height, Align::centre);
  }
  double y = top + head + 6.0;
  out.plot = {left, y, out.width - k_edge, y};
  for (const answer::FigureCells& row : figure.matrix) {
    const TextBlock name = text_block(row.label, k_most_names, out.font);
    std::vector<TextBlock> blocks;
    double height = name.height;
    for (const answer::FigureCell& cell : row.cells) {
      blocks.push_back(text_block(cell.text, wide - 2.0 * k_pad, out.font));
      height = std::max(height, blocks.back().height);
    }
    height += 2.0 * k_pad;
    put(out, name, left - k_pad, y + 0.5 * height, Align::right);
    for (std::size_t c = 0; c < blocks.size(); ++c) {
      const double from = left + static_cast<double>(c) * wide;
      out.cells.push_back({{from, y, from + wide, y + height}, row.cells[c].shade});
      put(out, blocks[c], middle_of(c), y + 0.5 * height, Align::centre);
    }
    y += height;
  }
  out.plot.bottom = y;
  return y + 6.0;
}

}  // namespace blendrisk::render
