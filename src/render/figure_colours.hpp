#pragma once

#include <array>

#include "answer/figure.hpp"
#include "render/figure_layout.hpp"

/// Colours and dashes of every picture, whatever draws it.
namespace blendrisk::render {

struct LineStyle {
  const char* colour;
  const char* dash;  ///< lengths drawn and left out in turn; "1" where all is drawn
};

/// Our own palette: its lightness steps from dark to light so that it survives grey printing, its
/// hues keep apart for the common kinds of colour blindness, and dashes differ besides.
inline constexpr std::array<LineStyle, answer::k_most_lines> k_line_styles{
    {{"#14304f", "1"},
     {"#b3452c", "(14,5)"},
     {"#2f7f86", "(4,4)"},
     {"#7d4a94", "(16,4,3,4)"},
     {"#8a6d1f", "(8,4)"},
     {"#4b6b2f", "(20,4,3,4,3,4)"},
     {"#a04a78", "(3,6)"},
     {"#5a6270", "(10,3,10,8)"}}};
/// Of kinds of bars: dark and light, apart in grey too.
inline constexpr std::array<const char*, 2> k_bar_colours{"#14304f", "#8fb3c9"};
/// Of cells, light to dark in steps that stay apart in grey; ink on the darkest is read well
/// (contrast above 5:1, WCAG 2.1 success criterion 1.4.3 asks for 4.5:1; from memory).
inline constexpr std::array<const char*, 5> k_cell_colours{"#eef3f6", "#d5e2ea", "#b9cfdb",
                                                           "#9dbccc", "#82a9bd"};
inline constexpr const char* k_empty_colour = "#ffffff";
inline constexpr const char* k_cell_edge_colour = "#5a6270";

inline const char* colour_of_cell(int shade) {
  return shade < 0 ? k_empty_colour
                   : k_cell_colours[static_cast<std::size_t>(shade) % k_cell_colours.size()];
}

inline constexpr const char* k_ink_colour = "#22262b";
inline constexpr const char* k_soft_colour = "#4d535b";
inline constexpr const char* k_grid_colour = "#d9dde2";
inline constexpr const char* k_level_colour = "#7a1f1f";
inline constexpr const char* k_shade_colour = "#d98c73";

inline const char* colour_of(Ink ink, std::size_t line) {
  switch (ink) {
    case Ink::text:
      return k_ink_colour;
    case Ink::soft:
      return k_soft_colour;
    case Ink::level:
      return k_level_colour;
    case Ink::line:
      return k_line_styles[line % answer::k_most_lines].colour;
  }
  return k_ink_colour;
}

}  // namespace blendrisk::render
