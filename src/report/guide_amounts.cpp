#include <cmath>

#include "report/advice.hpp"
#include "report/csv.hpp"
#include "report/guide_parts.hpp"
#include "report/page.hpp"

namespace blendrisk::report {
namespace {

constexpr const char* k_again_mark = "*";

class Amounts {
 public:
  explicit Amounts(const GuideView& view)
      : view_(view), scenario_(view.scenario), guide_(view.guide), units_(view.units) {
    for (const decide::Cell& cell : guide_.table.cells) {
      some_none_ |= !cell.litres;
      some_largest_ |= cell.other_end_l.has_value();
      some_again_ |= cell.again_from_l.has_value();
    }
  }

  std::string section_text() const {
    std::string body = paragraph(around_the_readings() + " " + around_the_amounts());
    if (!guide_.table.readings_l.empty()) body += reading_it() + table() + about_it();
    return section("amounts", "Other amounts, and how far the plan may be off", body);
  }

 private:
  std::string unit() const { return units_ == UnitSystem::us ? "gal" : "L"; }

  std::string amount_text(double amount_l) const {
    const std::string text = dispenser_text(amount_l, units_);
    return text.substr(0, text.find(' '));
  }

  std::string cell_text(std::size_t at) const {
    const decide::GuideTable& table = guide_.table;
    const decide::Cell& cell = table.cells[at];
    if (!cell.litres) return "none";
    const std::size_t columns = table.contents.size();
    const std::string source = "table/" + std::to_string(at) + "/" +
                               csv_number(table.readings_l[at / columns]) + "/" +
                               csv_number(table.contents[at % columns]) + "/";
    std::string text = data(source + "safe_amount", *cell.litres, amount_text(*cell.litres));
    if (cell.other_end_l) {
      text += " to " +
              data(source + "largest_amount", *cell.other_end_l, amount_text(*cell.other_end_l));
    }
    return text + (cell.again_from_l ? k_again_mark : "");
  }

  std::string table() const {
    const decide::GuideTable& table = guide_.table;
    std::string body = "<table class=\"amounts\">\n<caption>At least" +
                       std::string(some_largest_ ? ", or least to largest" : "") + ", in " +
                       unit() + "</caption>\n<thead>\n<tr><th scope=\"col\">gauge shows</th>";
    for (const double content : table.contents) {
      body += "<th scope=\"col\">" + html(content_text(content)) + "</th>";
    }
    body += "</tr>\n</thead>\n<tbody>\n";
    std::size_t at = 0;
    for (const double reading : table.readings_l) {
      body += "<tr><th scope=\"row\">" + html(gauge_text(reading, units_)) + "</th>";
      for (std::size_t c = 0; c < table.contents.size(); ++c) {
        body += "<td>" + cell_text(at++) + "</td>";
      }
      body += "</tr>\n";
    }
    return body + "</tbody>\n</table>\n";
  }

  std::string reading_it() const {
    std::string text =
        "If the gauge shows what stands at the left and the pump tested at what stands above, the "
        "dispenser has to show at least so many " +
        unit() + ".";
    if (some_largest_) {
      text += " Where there are two numbers, no more than the second: a limit binds there, too.";
    }
    if (some_again_) {
      text += std::string(" ") + k_again_mark +
              ": larger amounts meet the risk again, with others between that do not; the range "
              "with the least fuel is told.";
    }
    if (some_none_) {
      text +=
          " &ldquo;none&rdquo;: no amount brings the chance of a miss within the accepted risk.";
    }
    return paragraph(text);
  }

  std::string about_it() const {
    const scenario::Limits& limits = scenario_.limits;
    std::string text = "A tester's own error is not in these amounts: ";
    if (limits.minimum && limits.maximum) {
      text += "put in what both ends of what it may mean allow.";
    } else {
      text += std::string("use the ") + (limits.minimum ? "lower" : "upper") +
              " end of what it may mean.";
    }
    if (guide_.works && guide_.arrive && !guide_.arrive->wait_for.nothing_to_wait_for) {
      text += " The waiting above is for the plan above; after another amount, ask for it again.";
    }
    return paragraph(text, "soft");
  }

  /// From where filling up does.
  std::string around_the_readings() const {
    const decide::HeelResult& heel = guide_.heel;
    const std::string filling =
        "Filling until the nozzle clicks off lands within the accepted risk ";
    if (!heel.highest_indicated_l) return filling + "from no reading.";
    std::string from =
        heel_reading(view_, "highest_indicated", *heel.highest_indicated_l) + " indicated";
    if (heel.window) {
      const double low = heel.window->at(0);
      return filling +
             (low > 0.0 ? "from " + heel_reading(view_, "window/0", low) + " to " : "up to ") +
             from + ".";
    }
    from = heel.lowest_for_limits_l
               ? heel_reading(view_, "lowest_for_limits", *heel.lowest_for_limits_l) + " to " + from
               : from + " or less";
    if (!heel.lowest_indicated_l) {
      return filling + "from " + from +
             ", but no reading keeps the tank from running dry too often.";
    }
    return filling + "only from " + from + ", and below " +
           heel_reading(view_, "lowest_indicated", *heel.lowest_indicated_l) +
           " the tank runs dry too often.";
  }

  /// What does from the planned reading.
  std::string around_the_amounts() const {
    const decide::FillResult& fill = guide_.fill;
    const std::string from = "From " + planned_reading(view_) + " indicated ";
    if (!guide_.chance.dry_met) return from + "the tank runs dry too often, whatever the amount.";
    if (!fill.safe_amount_l) return from + "no amount does" + if_tested() + ".";
    std::string text = from;
    if (*fill.safe_amount_l == 0.0) {
      text += "nothing needs to be put in";
      if (fill.largest_amount_l) text += "; " + fill_amounts(view_) + " does";
    } else {
      text += "it takes ";
      text += (fill.largest_amount_l ? "" : "at least ") + fill_amounts(view_);
      if (fill.margin_l) text += margin();
    }
    if (fill.again_from_l) {
      text +=
          "; larger amounts do again from " +
          data("fill/again_from", *fill.again_from_l, dispenser_text(*fill.again_from_l, units_)) +
          " on, those between do not";
    }
    return text + ".";
  }

  std::string if_tested() const {
    const auto& instead = guide_.fill.instead;
    if (!instead || !instead->tested_content) return {};
    return " unless the pump tests at " +
           data("fill/instead/tested_content", *instead->tested_content,
                content_text(*instead->tested_content, 2)) +
           (instead->tested_at_least ? " or more" : " or less");
  }

  std::string margin() const {
    const double margin_l = *guide_.fill.margin_l;
    std::string text = guide_.fill.largest_amount_l ? ", the least " : ", ";
    const std::string size = dispenser_text(std::abs(margin_l), units_);
    const std::string than = margin_text(margin_l, units_);
    text += than.starts_with(size) ? data("fill/margin", margin_l, size) + than.substr(size.size())
                                   : than;
    text += " plain arithmetic says";
    return text + (margin_l > 0.0 ? ", for what is not known exactly" : "");
  }

  const GuideView& view_;
  const scenario::Scenario& scenario_;
  const decide::Guide& guide_;
  UnitSystem units_;
  bool some_none_ = false, some_largest_ = false, some_again_ = false;
};

}  // namespace

std::string guide_amounts(const GuideView& view) {
  return Amounts(view).section_text();
}

}  // namespace blendrisk::report
