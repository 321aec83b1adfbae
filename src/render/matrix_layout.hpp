#pragma once

#include "render/figure_layout.hpp"

/// Where the cells of a figure's grid stand.
namespace blendrisk::render {

/// The canvas that its columns need, `least` at least [px].
double matrix_width(const Figure& figure, double least, double font);

/// Puts cells, what stands in them and the names of rows and columns below `top`, and the plot
/// around them. @return where they end
double lay_out_matrix(const Figure& figure, FigureLayout& out, double top);

}  // namespace blendrisk::render
