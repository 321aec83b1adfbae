#include "render/figure_layout.hpp"

#include <algorithm>
#include <cmath>

#include "answer/description.hpp"
#include "answer/plain_text.hpp"
#include "render/label_places.hpp"
#include "render/matrix_layout.hpp"
#include "render/text_size.hpp"

namespace blendrisk::render {
namespace {

constexpr double k_tick = 9.0;          ///< from an axis to its labels
constexpr double k_end_gap = 10.0;      ///< from the plot to the curves' labels
constexpr double k_most_beside = 0.34;  ///< of the width, for labels beside the plot

std::vector<std::string> tick_lines(const Tick& tick) {
  std::vector<std::string> lines;
  std::size_t from = 0;
  while (from <= tick.text.size()) {
    const std::size_t end = std::min(tick.text.find('\n', from), tick.text.size());
    lines.push_back(answer::cleaned(tick.text.substr(from, end - from)));
    from = end + 1;
  }
  return lines;
}

/// Lays out one figure, from the top down.
class LayingOut {
 public:
  explicit LayingOut(const Figure& figure) : figure_(figure) {
    out_.width = figure.compact ? 520.0 : 640.0;
    out_.font = figure.compact ? 15.0 : 14.0;
    line_ = k_line_height * out_.font;
    bar_ = 1.25 * out_.font;
  }

  FigureLayout done() {
    if (!figure_.matrix.empty()) out_.width = matrix_width(figure_, out_.width, font());
    double y = above(k_edge);
    if (!figure_.matrix.empty()) {
      below(lay_out_matrix(figure_, out_, y + 6.0));
      return std::move(out_);
    }
    frame(y + 10.0);
    if (figure_.rows.empty()) {
      y_axis();
      curve_ends();
      labels_within();
    } else {
      bars();
    }
    below(x_axis());
    return std::move(out_);
  }

 private:
  double font() const { return out_.font; }

  double lines(const std::vector<std::string>& texts, double x, double y, Ink ink,
               Align align = Align::left, std::size_t line = 0) {
    for (const std::string& text : texts) {
      out_.texts.push_back({text, x, y + 0.5 * line_, align, ink, line});
      y += line_;
    }
    return y;
  }

  /// A paragraph over the whole width. @return where it ends
  double paragraph(const std::string& text, double y, Ink ink) {
    return lines(lines_within(text, (out_.width - 2.0 * k_edge) / font()), k_edge, y, ink);
  }

  double above(double y) {
    if (!figure_.compact && !figure_.title.empty()) {
      y = paragraph(figure_.title, y, Ink::text) + 4.0;
    }
    y = paragraph(figure_.y.title, y, Ink::text);
    for (std::size_t kind = 0; kind < figure_.bar_names.size(); ++kind) {
      const double middle = y + 0.5 * line_;
      out_.bars.push_back({{k_edge, middle - 5.0, k_edge + 22.0, middle + 5.0}, kind});
      const double left = k_edge + 30.0;
      const double room = out_.width - k_edge - left;
      y = lines(lines_within(figure_.bar_names[kind], room / font()), left, y, Ink::text);
    }
    return y;
  }

  /// Room that stands beside the plot, and its height.
  void frame(double top) {
    double left = 0.0;
    double right = 0.0;
    double height = figure_.compact ? 250.0 : 310.0;
    const double beside = k_most_beside * out_.width;
    for (const Tick& tick : figure_.rows.empty() ? figure_.y.ticks : std::vector<Tick>{}) {
      left = std::max(left, widest(tick_lines(tick)) * font() + k_tick);
    }
    double ends = 0.0;
    for (const FigureLine& line : figure_.lines) {
      end_blocks_.push_back(text_block(line.label, beside, font()));
      if (line.label.empty()) continue;
      right = std::max(right, end_blocks_.back().width + k_end_gap);
      ends += end_blocks_.back().height;
    }
    double rows = 0.0;
    for (const FigureRow& row : figure_.rows) {
      row_blocks_.push_back(text_block(row.label, beside, font()));
      left = std::max(left, row_blocks_.back().width + k_tick);
      row_heights_.push_back(
          std::max(row_blocks_.back().height, bar_ * static_cast<double>(row.bars.size())) + 10.0);
      rows += row_heights_.back();
      for (const FigureBar& bar : row.bars) {
        if (std::isfinite(bar.value)) right = std::max(right, text_width(bar.text) * font() + 10.0);
      }
    }
    if (!figure_.rows.empty()) height = rows;
    if (!figure_.x.ticks.empty()) {
      left = std::max(left, 0.5 * widest(tick_lines(figure_.x.ticks.front())) * font());
      right = std::max(right, 0.5 * widest(tick_lines(figure_.x.ticks.back())) * font());
    }
    out_.plot = {k_edge + left, top, out_.width - k_edge - right, top + std::max(height, ends)};
  }

  double x_of(double value) const {
    return out_.plot.left + answer::place_on(figure_.x, value) * (out_.plot.right - out_.plot.left);
  }
  double y_of(double value) const {
    return out_.plot.bottom -
           answer::place_on(figure_.y, value) * (out_.plot.bottom - out_.plot.top);
  }

  void y_axis() {
    double last = out_.plot.bottom + 2.0 * line_;
    for (const Tick& tick : figure_.y.ticks) {
      const double y = y_of(tick.at);
      if (last - y < line_) continue;
      last = y;
      out_.y_ticks.push_back(tick.at);
      out_.texts.push_back({answer::cleaned(tick.text), out_.plot.left - k_tick, y, Align::right});
    }
  }

  /// Every k-th tick, k as small as their labels allow. @return where they end
  double x_axis() {
    const std::vector<Tick>& ticks = figure_.x.ticks;
    std::size_t every = 1;
    const auto crowded = [&] {
      double last = -1e9;
      for (std::size_t i = 0; i < ticks.size(); i += every) {
        const double half = 0.5 * widest(tick_lines(ticks[i])) * font();
        if (x_of(ticks[i].at) - half < last + 0.6 * font()) return true;
        last = x_of(ticks[i].at) + half;
      }
      return false;
    };
    while (every < ticks.size() && crowded()) ++every;
    const double top = out_.plot.bottom + k_tick;
    double bottom = top;
    for (std::size_t i = 0; i < ticks.size(); i += every) {
      out_.x_ticks.push_back(ticks[i].at);
      bottom = std::max(
          bottom, lines(tick_lines(ticks[i]), x_of(ticks[i].at), top, Ink::text, Align::centre));
    }
    return bottom + 3.0;
  }

  void below(double y) {
    const std::vector<std::string> title =
        lines_within(figure_.x.title, (out_.width - 2.0 * k_edge) / font());
    const double half = 0.5 * widest(title) * font();
    const double middle = std::clamp(0.5 * (out_.plot.left + out_.plot.right), k_edge + half,
                                     std::max(k_edge + half, out_.width - k_edge - half));
    y = lines(title, middle, y, Ink::text, Align::centre) + 4.0;
    std::vector<std::string> notes = figure_.notes;
    for (std::string& note : answer::unseen(figure_)) notes.push_back(std::move(note));
    for (std::string& note : homeless_) notes.push_back(std::move(note));
    for (const std::string& note : notes) y = paragraph(note, y, Ink::text);
    if (!figure_.foot.empty()) y = paragraph(figure_.foot, y + 4.0, Ink::soft);
    out_.height = std::ceil(y + k_edge);
  }

  /// The labels of the curves at the right, apart from each other and in the order of their ends.
  void curve_ends() {
    struct End {
      std::size_t line;
      double x, y, top;
    };
    std::vector<End> ends;
    for (std::size_t i = 0; i < figure_.lines.size(); ++i) {
      const FigureLine& line = figure_.lines[i];
      if (line.label.empty()) continue;
      for (std::size_t at = line.y.size(); at-- > 0;) {
        const double place = answer::place_on(figure_.y, line.y[at]);
        if (!std::isfinite(place) || place < -1e-9 || place > 1.0 + 1e-9) continue;
        const double y = y_of(line.y[at]);
        ends.push_back({i, x_of(line.x[at]), y, y - 0.5 * end_blocks_[i].height});
        break;
      }
    }
    std::stable_sort(ends.begin(), ends.end(),
                     [](const End& a, const End& b) { return a.y < b.y; });
    double from = out_.plot.top;
    for (End& end : ends) {
      end.top = std::max(end.top, from);
      from = end.top + end_blocks_[end.line].height;
    }
    double to = out_.plot.bottom;
    for (std::size_t i = ends.size(); i-- > 0;) {
      const double height = end_blocks_[ends[i].line].height;
      ends[i].top = std::min(ends[i].top, to - height);
      to = ends[i].top;
    }
    for (const End& end : ends) {
      const TextBlock& block = end_blocks_[end.line];
      const double left = out_.plot.right + k_end_gap;
      const double middle = end.top + 0.5 * block.height;
      if (std::hypot(left - end.x, middle - end.y) > k_end_gap + 6.0) {
        out_.strokes.push_back({end.x, end.y, left - 2.0, middle, Ink::line, end.line});
      }
      lines(block.lines, left, end.top, Ink::line, Align::left, end.line);
    }
  }

  void labels_within() {
    LabelPlaces places(figure_, out_.plot);
    const auto shown = [&](double x, double y) {
      return x >= -1e-9 && x <= 1.0 + 1e-9 && y >= -1e-9 && y <= 1.0 + 1e-9;
    };
    // In one line where there is room, else in several.
    const auto put = [&](const std::string& label, const answer::Value& homeless, Ink ink,
                         std::size_t line, const auto& corners) {
      if (label.empty()) return;
      std::optional<LabelPlaces::Place> best;
      std::vector<std::string> broken;
      double breaking = 0.0;
      for (const double share : {0.96, 0.62, 0.4}) {
        const TextBlock block =
            text_block(label, share * (out_.plot.right - out_.plot.left), font());
        std::optional<LabelPlaces::Place> place = places.best(corners(block), block);
        if (place) place->cost += breaking;
        breaking += 0.3;
        if (!place || (best && best->cost <= place->cost)) continue;
        best = place;
        broken = block.lines;
      }
      if (best) {
        places.take(best->box);
        lines(broken, best->box.left, best->box.top, ink, Align::left, line);
        return;
      }
      homeless_.push_back(answer::shown(homeless));
    };
    for (const FigureMark& mark : figure_.marks) {
      if (!shown(answer::place_on(figure_.x, mark.x), answer::place_on(figure_.y, mark.y)))
        continue;
      const std::string curve =
          mark.line < figure_.lines.size() ? figure_.lines[mark.line].label : "";
      put(mark.label,
          answer::say(curve.empty() ? "figure.dot" : "figure.dot.of", answer::text(mark.label),
                      answer::text(curve)),
          mark.line == answer::k_no_line ? Ink::text : Ink::line, mark.line,
          [&](const TextBlock& block) { return places.around(mark, block); });
    }
    for (const FigureLevel& level : figure_.levels) {
      if (!shown(answer::place_on(level.vertical ? figure_.x : figure_.y, level.at), 0.5)) continue;
      put(level.label, answer::say("figure.line", answer::text(level.label)), Ink::level, 0,
          [&](const TextBlock& block) { return places.beside(level, block); });
    }
  }

  void bars() {
    double top = out_.plot.top;
    for (std::size_t r = 0; r < figure_.rows.size(); ++r) {
      const FigureRow& row = figure_.rows[r];
      const TextBlock& block = row_blocks_[r];
      const double middle = top + 0.5 * row_heights_[r];
      lines(block.lines, out_.plot.left - k_tick, middle - 0.5 * block.height, Ink::text,
            Align::right);
      double y = middle - 0.5 * bar_ * static_cast<double>(row.bars.size());
      for (std::size_t kind = 0; kind < row.bars.size(); ++kind) {
        one_bar(row.bars[kind], kind, y + 0.5 * bar_);
        y += bar_;
      }
      top += row_heights_[r];
    }
  }

  void one_bar(const FigureBar& bar, std::size_t kind, double y) {
    double right = out_.plot.left;
    if (std::isfinite(bar.value)) {
      right = x_of(bar.value);
      out_.bars.push_back({{out_.plot.left, y - 6.0, right, y + 6.0}, kind});
      const double low = x_of(bar.low);
      const double high = x_of(bar.high);
      out_.strokes.push_back({low, y, high, y, Ink::level});
      for (const double end : {low, high}) {
        out_.strokes.push_back({end, y - 3.0, end, y + 3.0, Ink::level});
      }
      right = std::max(right, high);
    }
    out_.texts.push_back({answer::cleaned(bar.text), right + 6.0, y});
  }

  const Figure& figure_;
  FigureLayout out_{};
  double line_, bar_;  ///< heights of a line of text, and of a bar with what is around it
  std::vector<TextBlock> end_blocks_, row_blocks_;
  std::vector<double> row_heights_;
  std::vector<std::string> homeless_;  ///< labels without room
};

}  // namespace

Box box_of(const PlacedText& text, double font) {
  const double wide = text_width(text.text) * font;
  const double left = text.align == Align::left    ? text.x
                      : text.align == Align::right ? text.x - wide
                                                   : text.x - 0.5 * wide;
  // From the ascent to the descent of the font, its middle that of the capitals.
  return {left, text.y - 0.61 * font, left + wide, text.y + 0.57 * font};
}

bool overlap(const Box& a, const Box& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

FigureLayout lay_out(const Figure& figure) {
  return LayingOut(figure).done();
}

}  // namespace blendrisk::render
