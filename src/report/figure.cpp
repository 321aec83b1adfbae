#include "report/figure.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "report/format.hpp"
#include "report/plain_text.hpp"

namespace blendrisk::report {
namespace {

struct Style {
  const char* colour;
  const char* dash;
};

/// Our own palette: its lightness steps from dark to light so that it survives grey printing, its
/// hues keep apart for the common kinds of colour blindness, and dashes differ besides.
constexpr std::array<Style, k_most_lines> k_styles{{{"#14304f", "1"},
                                                    {"#b3452c", "(14,5)"},
                                                    {"#2f7f86", "(4,4)"},
                                                    {"#7d4a94", "(16,4,3,4)"},
                                                    {"#8a6d1f", "(8,4)"},
                                                    {"#4b6b2f", "(20,4,3,4,3,4)"},
                                                    {"#a04a78", "(3,6)"},
                                                    {"#5a6270", "(10,3,10,8)"}}};
constexpr const char* k_ink = "#22262b";
constexpr const char* k_grid = "#d9dde2";
constexpr const char* k_level = "#7a1f1f";
constexpr const char* k_shade = "#d98c73";
constexpr std::size_t k_most_title = 78;

std::string number_text(double value) {
  if (!std::isfinite(value)) return "NaN";
  std::array<char, 40> digits{};
  char* end = std::to_chars(digits.data(), digits.data() + digits.size(), value + 0.0).ptr;
  return {digits.data(), end};
}

/// A gnuplot string. Between single quotes nothing is special but the quote, which becomes the
/// typographic one: gnuplot does not read a doubled quote at the front. Cleaning leaves no control
/// characters. "]]>" would break the SVG, in which gnuplot does not escape it.
std::string in_quotes(const std::string& text) {
  std::string result = "'";
  for (const char c : cleaned(text)) {
    if (c == '>' && result.ends_with("]]")) result += ' ';
    c == '\'' ? result += "\u2019" : result += c;
  }
  return result + "'";
}

/// A tick's text is a number format besides: its percent signs are doubled.
/// Two lines need double quotes, between which a backslash is special too.
std::string quoted_tick(const std::string& text) {
  std::string doubled;
  for (const char c : text) {
    if (c != '\n' && c != '\\' && c != '"' && c != '`') doubled.append(c == '%' ? 2 : 1, c);
    if (c == '\n') doubled += "\\n";
  }
  if (text.find('\n') == std::string::npos) return in_quotes(doubled);
  return "\"" + cleaned(doubled) + "\"";
}

std::string terminal(PictureFormat format, bool compact) {
  // noenhanced: braces, carets and the like are themselves.
  switch (format) {
    case PictureFormat::svg:
      return std::string("set terminal svg size ") + (compact ? "520,390" : "760,460") +
             " noenhanced font 'sans-serif," + (compact ? "15" : "13") +
             "' background rgb 'white'\n";
    case PictureFormat::png:
      return "set terminal pngcairo size 1520,920 noenhanced font 'sans-serif,20' "
             "background rgb 'white' linewidth 2\n";
    case PictureFormat::pdf:
      return "set terminal pdfcairo size 7.6in,4.6in noenhanced font 'sans-serif,12' "
             "background rgb 'white'\n";
  }
  return {};
}

std::string axis_script(const FigureAxis& axis, const std::string& name) {
  std::string text =
      "set " + name + "range [" + number_text(axis.low) + ":" + number_text(axis.high) + "]\n";
  if (axis.log) text += "set logscale " + name + " 10\n";
  if (axis.ticks.empty()) return text + "unset " + name + "tics\n";
  text += "set " + name + "tics nomirror out textcolor rgb '" + std::string(k_ink) + "' (";
  for (std::size_t i = 0; i < axis.ticks.size(); ++i) {
    text += (i == 0 ? "" : ", ") + quoted_tick(axis.ticks[i].text) + " " +
            number_text(axis.ticks[i].at);
  }
  return text + ")\n";
}

/// Where a value stands between the ends of an axis, 0 to 1.
double place(const FigureAxis& axis, double value) {
  if (axis.log) {
    return std::log(std::max(value, axis.low) / axis.low) / std::log(axis.high / axis.low);
  }
  return (value - axis.low) / (axis.high - axis.low);
}

/// The last finite point of a line within the picture; none: −1.
std::ptrdiff_t last_point(const Figure& figure, const FigureLine& line) {
  for (std::size_t i = line.y.size(); i-- > 0;) {
    if (!std::isfinite(line.y[i])) continue;
    const double at = place(figure.y, line.y[i]);
    if (at >= -1e-9 && at <= 1.0 + 1e-9) return static_cast<std::ptrdiff_t>(i);
  }
  return -1;
}

struct EndLabel {
  std::size_t line;
  double x, y;  ///< 0 to 1 of the picture
};

/// Moves labels that would lie on each other apart, keeping their order.
void spread(std::vector<EndLabel>& labels) {
  constexpr double k_apart = 0.058;
  std::sort(labels.begin(), labels.end(),
            [](const EndLabel& a, const EndLabel& b) { return a.y < b.y; });
  for (int round = 0; round < 500; ++round) {
    bool moved = false;
    for (std::size_t i = 0; i + 1 < labels.size(); ++i) {
      const double gap = labels[i + 1].y - labels[i].y;
      if (gap >= k_apart - 1e-6) continue;
      const double shift = 0.5 * (k_apart - gap);
      labels[i].y -= shift;
      labels[i + 1].y += shift;
      moved = true;
    }
    for (EndLabel& label : labels) label.y = std::clamp(label.y, 0.0, 1.0);
    if (!moved) return;
  }
}

std::string end_labels(const Figure& figure) {
  std::vector<EndLabel> labels;
  for (std::size_t i = 0; i < figure.lines.size(); ++i) {
    const FigureLine& line = figure.lines[i];
    const std::ptrdiff_t last = last_point(figure, line);
    if (line.label.empty() || last < 0) continue;
    const auto at = static_cast<std::size_t>(last);
    labels.push_back({i, place(figure.x, line.x[at]), place(figure.y, line.y[at])});
  }
  spread(labels);
  std::string text;
  for (const EndLabel& label : labels) {
    text += "set label " + in_quotes(shortened(figure.lines[label.line].label, 28)) + " at graph " +
            number_text(label.x + 0.012) + "," + number_text(label.y) +
            " left front textcolor rgb '" + k_styles[label.line % k_most_lines].colour + "'\n";
  }
  return text;
}

/// Whether the right of a horizontal level is freer of lines than its left.
bool right_is_freer(const Figure& figure, double level) {
  const double at = place(figure.y, level);
  double left = 1.0;
  double right = 1.0;
  for (const FigureLine& line : figure.lines) {
    for (std::size_t i = 0; i < line.x.size(); ++i) {
      if (!std::isfinite(line.y[i])) continue;
      const double x = place(figure.x, line.x[i]);
      const double off = std::abs(place(figure.y, line.y[i]) - at);
      if (x < 0.35) left = std::min(left, off);
      if (x > 0.65) right = std::min(right, off);
    }
  }
  return right > left;
}

std::string levels(const Figure& figure) {
  std::string text;
  for (const FigureLevel& level : figure.levels) {
    const std::string at = number_text(level.at);
    const std::string look =
        std::string(" nohead front linewidth 1.4 dashtype (6,4) linecolor rgb '") + k_level + "'\n";
    const std::string colour = std::string(" front textcolor rgb '") + k_level + "'\n";
    if (level.vertical) {
      text += "set arrow from first " + at + ", graph 0 to first " + at + ", graph 1" + look;
      const bool left = place(figure.x, level.at) > 0.6;
      text += "set label " + in_quotes(level.label) + " at first " + at + ", graph 0.96 " +
              (left ? "right offset -0.7,0" : "left offset 0.7,0") + colour;
    } else {
      text += "set arrow from graph 0, first " + at + " to graph 1, first " + at + look;
      const bool right = right_is_freer(figure, level.at);
      // Above the line, but for one at the top or close below another.
      const double height = place(figure.y, level.at);
      const bool below =
          height > 0.93 ||
          std::any_of(figure.levels.begin(), figure.levels.end(), [&](const FigureLevel& other) {
            const double gap = place(figure.y, other.at) - height;
            return !other.vertical && gap > 0.0 && gap < 0.1;
          });
      text += "set label " + in_quotes(level.label) + " at graph " + (right ? "0.985" : "0.015") +
              ", first " + at + (right ? " right" : " left") +
              (below ? " offset 0,-0.7" : " offset 0,0.7") + colour;
    }
  }
  return text;
}

std::string marks(const Figure& figure) {
  std::string text;
  for (const FigureMark& mark : figure.marks) {
    const double at = place(figure.x, mark.x);
    const bool left = at > 0.8 || (mark.label_left && at > 0.15);
    const bool at_bottom = place(figure.y, mark.y) < 0.08;
    text += "set label " + in_quotes(mark.label) + " at first " + number_text(mark.x) + ", first " +
            number_text(mark.y) + (left ? " right offset -0.9," : " left offset 0.9,") +
            (at_bottom ? "0.9" : "-0.8") +
            " front point pointtype 7 pointsize 0.7 textcolor rgb '" + k_ink + "'\n";
  }
  return text;
}

std::string block(const std::string& name, const std::vector<const std::vector<double>*>& columns) {
  std::string text = "$" + name + " << END_OF_DATA\n";
  for (std::size_t i = 0; i < columns[0]->size(); ++i) {
    for (std::size_t c = 0; c < columns.size(); ++c) {
      text += (c == 0 ? "" : " ") + number_text((*columns[c])[i]);
    }
    text += "\n";
  }
  return text + "END_OF_DATA\n";
}

std::string bars(const Figure& figure) {
  std::string text;
  const std::size_t n = figure.bars.size();
  for (std::size_t i = 0; i < n; ++i) {
    const FigureBar& bar = figure.bars[i];
    const auto y = static_cast<double>(n - 1 - i);
    text += "set object rectangle from 0," + number_text(y - 0.32) + " to " +
            number_text(bar.value) + "," + number_text(y + 0.32) + " fillcolor rgb '" +
            k_styles[0].colour + "' fillstyle solid 0.85 noborder\n";
    text += "set arrow from " + number_text(bar.low) + "," + number_text(y) + " to " +
            number_text(bar.high) + "," + number_text(y) +
            " heads size graph 0.008,90 front linewidth 1.4 linecolor rgb '" + k_level + "'\n";
  }
  return text;
}

std::string plots(const Figure& figure) {
  std::string data;
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < figure.areas.size(); ++i) {
    const std::string name = "area" + std::to_string(i);
    data += block(name, {&figure.areas[i].x, &figure.areas[i].y});
    parts.push_back("$" + name + " using 1:2 with filledcurves y1=" + number_text(figure.y.low) +
                    " fillcolor rgb '" + k_shade + "' fillstyle solid 0.75 noborder notitle");
  }
  for (std::size_t i = 0; i < figure.lines.size(); ++i) {
    const FigureLine& line = figure.lines[i];
    const Style& style = k_styles[i % k_most_lines];
    const std::string name = "line" + std::to_string(i);
    if (!line.band_low.empty()) {
      data += block(name + "b", {&line.x, &line.band_low, &line.band_high});
      parts.push_back("$" + name + "b using 1:2:3 with filledcurves fillcolor rgb '" +
                      std::string(style.colour) +
                      "' fillstyle transparent solid 0.18 noborder notitle");
    }
    data += block(name, {&line.x, &line.y});
    parts.push_back("$" + name + " using 1:2 with lines linewidth 2.2 dashtype " +
                    std::string(style.dash) + " linecolor rgb '" + style.colour + "' notitle");
  }
  // Objects alone need a plot to stand in.
  if (parts.empty()) parts.emplace_back("NaN notitle");
  std::string text = data + "plot ";
  for (std::size_t i = 0; i < parts.size(); ++i) text += (i == 0 ? "" : ", \\\n     ") + parts[i];
  return text + "\n";
}

/// Columns that the labels at the lines' ends need beside the picture.
int right_margin(const Figure& figure) {
  std::size_t most = 0;
  for (const FigureLine& line : figure.lines) {
    most = std::max(most, width(shortened(line.label, 28)));
  }
  return static_cast<int>(std::max<std::size_t>(most + 3, 5));
}

int decimals_of(double step) {
  return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 12);
}

}  // namespace

std::vector<Tick> linear_ticks(double low, double high, int most) {
  const double wanted = (high - low) / most;
  const double decade = std::pow(10.0, std::floor(std::log10(wanted)));
  double step = 10.0 * decade;
  for (const double nice : {1.0, 2.0, 5.0}) {
    if (wanted <= nice * decade * (1.0 + 1e-9)) {
      step = nice * decade;
      break;
    }
  }
  std::vector<Tick> ticks;
  const double first = std::ceil(low / step - 1e-6);
  for (int k = 0; k <= 2 * most; ++k) {
    const double at = (first + k) * step;
    if (at > high + 1e-6 * step) break;
    ticks.push_back({at, fixed_text(at, decimals_of(step))});
  }
  return ticks;
}

std::vector<Tick> log_ticks(double low, double high, const std::string& unit) {
  const int first = static_cast<int>(std::floor(std::log10(low) + 1e-9));
  const int last = static_cast<int>(std::ceil(std::log10(high) - 1e-9));
  const int decades = last - first;
  const int every = std::max(1, (decades + 6) / 7);
  std::vector<Tick> ticks;
  for (int decade = first; decade <= last; ++decade) {
    for (const double part : {1.0, 2.0, 5.0}) {
      if (part > 1.0 && decades > 2) continue;
      const double at = part * std::pow(10.0, decade);
      if (at < low * (1.0 - 1e-9) || at > high * (1.0 + 1e-9)) continue;
      const bool named = decades <= 2 || (decade - first) % every == 0;
      if (!named) continue;
      const bool tiny = at < 0.9e-3 && part == 1.0;
      ticks.push_back({at, (tiny ? "1e" + std::to_string(decade) : short_text(at)) + unit});
    }
  }
  return ticks;
}

std::string gnuplot_script(const Figure& figure, PictureFormat format) {
  std::string text = terminal(format, figure.compact);
  text += "set encoding utf8\nset datafile missing 'NaN'\nunset key\nset border 3 linecolor rgb '" +
          std::string(k_ink) + "'\nset grid ytics linetype 1 linewidth 0.8 linecolor rgb '" +
          k_grid + "'\n";
  text += "set rmargin " + std::to_string(right_margin(figure)) + "\nset tmargin " +
          (figure.compact ? "2.6" : "4.2") + "\n";
  // What the height of the curve means stands level, above it.
  if (!figure.compact) {
    text += "set label " + in_quotes(shortened(figure.title, k_most_title)) +
            " at graph 0,1 left offset 0,2.6 textcolor rgb '" + k_ink + "'\n";
  }
  text += "set label " + in_quotes(shortened(figure.y.title, k_most_title)) +
          " at graph 0,1 left offset 0,1.2 textcolor rgb '" + k_ink + "'\n";
  const bool two_lines =
      std::any_of(figure.x.ticks.begin(), figure.x.ticks.end(),
                  [](const Tick& tick) { return tick.text.find('\n') != std::string::npos; });
  text += "set xlabel " + in_quotes(figure.x.title) + (two_lines ? " offset 0,-1" : "") +
          " textcolor rgb '" + k_ink + "'\n";
  if (two_lines) text += "set bmargin 5\n";
  text += axis_script(figure.x, "x") + axis_script(figure.y, "y");
  text += bars(figure) + levels(figure) + end_labels(figure) + marks(figure) + plots(figure);
  return text;
}

}  // namespace blendrisk::report
