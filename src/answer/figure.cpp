#include "answer/figure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "answer/description.hpp"
#include "answer/words.hpp"
#include "numeric/round_step.hpp"

namespace blendrisk::answer {
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

Value points(std::size_t some, std::size_t all) {
  if (some < all) return say("figure.points", count(some), count(all));
  return say(all == 1 ? "figure.points.only" : "figure.points.all");
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
  const Value name = line.label.empty() ? say("figure.curve") : text(line.label);
  const auto tell = [&](std::string id, std::size_t some) {
    if (some == 0) return;
    if (some == 1) id += ".one";
    notes.push_back(shown(say(id, name, points(some, line.y.size()), text(line.reason))));
  };
  tell(line.reason.empty() ? "figure.none" : "figure.none.reason", none);
  tell("figure.off.below", below);
  tell("figure.off.above", above);
}

}  // namespace

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

void add_unit(std::vector<Tick>& ticks, const std::string& unit) {
  for (Tick& tick : ticks) tick.text += " " + unit;
}

double place_on(const FigureAxis& axis, double value) {
  if (!axis.log) return (value - axis.low) / (axis.high - axis.low);
  if (!(value > 0.0)) return -std::numeric_limits<double>::infinity();
  return std::log(value / axis.low) / std::log(axis.high / axis.low);
}

std::vector<Tick> linear_ticks(double low, double high, int most) {
  const double step = numeric::round_step((high - low) / most);
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
    notes.push_back(shown(say(place < 0.0 ? "figure.level.below" : "figure.level.above",
                              text(capitalised(level.label)))));
  }
  for (const FigureMark& mark : figure.marks) {
    const double x = place_on(figure.x, mark.x);
    const double y = place_on(figure.y, mark.y);
    if ((within(x) && within(y)) || mark.label.empty()) continue;
    notes.push_back(shown(say("figure.mark.outside", text(mark.label))));
  }
  for (const FigureLine& line : figure.lines) tell_line(figure, line, notes);
  for (const FigureArea& area : figure.areas) {
    if (is_seen(figure, area)) continue;
    notes.push_back(shown(say("figure.shade.small", text(area.name))));
  }
  return notes;
}

}  // namespace blendrisk::answer
