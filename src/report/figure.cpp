#include "report/figure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/format.hpp"

namespace blendrisk::report {
namespace {

/// What is flatter or narrower than this share of the picture is not seen.
constexpr double k_seen = 0.015;
/// Chances in percent below this are told as odds: decimals have too many zeros to be read.
constexpr double k_least_percent = 0.9e-4;

int decimals_of(double step) {
  return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 12);
}

bool within(double place) {
  return place >= -1e-9 && place <= 1.0 + 1e-9;
}

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

std::string side_of(double place) {
  return place < 0.0 ? "below" : "above";
}

std::string points_text(std::size_t some, std::size_t all) {
  if (some == all) return all == 1 ? "its only point" : "all of its points";
  return std::to_string(some) + " of its " + std::to_string(all) + " points";
}

void tell_line(const Figure& figure, const FigureLine& line, std::vector<std::string>& notes) {
  std::size_t none = 0;
  std::size_t below = 0;
  std::size_t above = 0;
  for (std::size_t i = 0; i < line.y.size(); ++i) {
    if (!std::isfinite(line.x[i]) || !std::isfinite(line.y[i])) {
      ++none;
      continue;
    }
    const double place = place_on(figure.y, line.y[i]);
    if (within(place)) continue;
    ++(place < 0.0 ? below : above);
  }
  const std::size_t all = line.y.size();
  const std::string name = line.label.empty() ? "The curve: " : line.label + ": ";
  if (none > 0) {
    notes.push_back(name + points_text(none, all) + (none == 1 ? " has" : " have") + " no value" +
                    (line.reason.empty() ? "" : ": " + line.reason) + ".");
  }
  for (const auto& [some, side] : {std::pair{below, "below"}, std::pair{above, "above"}}) {
    if (some == 0) continue;
    notes.push_back(name + points_text(some, all) + (some == 1 ? " lies " : " lie ") + side +
                    " what this picture shows.");
  }
}

}  // namespace

double place_on(const FigureAxis& axis, double value) {
  if (!axis.log) return (value - axis.low) / (axis.high - axis.low);
  if (!(value > 0.0)) return -std::numeric_limits<double>::infinity();
  return std::log(value / axis.low) / std::log(axis.high / axis.low);
}

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

std::vector<Tick> chance_ticks(double low, double high) {
  const int first = static_cast<int>(std::floor(std::log10(low) + 1e-9));
  const int last = static_cast<int>(std::ceil(std::log10(high) - 1e-9));
  const int decades = last - first;
  const int every = std::max(1, (decades + 6) / 7);
  std::vector<Tick> ticks;
  for (int decade = first; decade <= last; ++decade) {
    if (decades > 2 && (decade - first) % every != 0) continue;
    for (const double part : {1.0, 2.0, 5.0}) {
      if (part > 1.0 && decades > 2) continue;
      const double at = part * std::pow(10.0, decade);
      if (at < low * (1.0 - 1e-9) || at > high * (1.0 + 1e-9)) continue;
      const std::string text = at < k_least_percent
                                   ? odds_text(0.01 * at)
                                   : fixed_text(at, decimals_of(std::pow(10.0, decade))) + " %";
      ticks.push_back({at, text});
    }
  }
  return ticks;
}

bool is_seen(const Figure& figure, const FigureArea& area) {
  double left = 1.0;
  double right = 0.0;
  double top = 0.0;
  for (std::size_t i = 0; i < area.x.size(); ++i) {
    const double x = place_on(figure.x, area.x[i]);
    if (!within(x)) continue;
    left = std::min(left, x);
    right = std::max(right, x);
    top = std::max(top, place_on(figure.y, area.y[i]));
  }
  return right - left >= k_seen && top >= k_seen;
}

std::vector<std::string> unseen(const Figure& figure) {
  std::vector<std::string> notes;
  for (const FigureLevel& level : figure.levels) {
    const double place = place_on(level.vertical ? figure.x : figure.y, level.at);
    if (within(place)) continue;
    notes.push_back(capitalised(level.label) + " lies " + side_of(place) +
                    " what this axis shows.");
  }
  for (const FigureMark& mark : figure.marks) {
    const double x = place_on(figure.x, mark.x);
    const double y = place_on(figure.y, mark.y);
    if ((within(x) && within(y)) || mark.label.empty()) continue;
    notes.push_back(mark.label + " lies outside this picture.");
  }
  for (const FigureLine& line : figure.lines) tell_line(figure, line, notes);
  for (const FigureArea& area : figure.areas) {
    if (is_seen(figure, area)) continue;
    notes.push_back("The shade of what lies " + area.name + " is too small to be seen.");
  }
  return notes;
}

}  // namespace blendrisk::report
