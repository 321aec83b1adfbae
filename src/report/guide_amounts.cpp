#include "report/csv.hpp"
#include "report/guide_parts.hpp"
#include "report/page.hpp"

namespace blendrisk::report {
namespace {

class Amounts {
 public:
  explicit Amounts(const GuideView& view)
      : scenario_(view.scenario), guide_(view.guide), units_(view.units) {}

  std::string section_text() const {
    const decide::GuideTable& table = guide_.table;
    if (table.readings_l.empty()) return {};
    const std::string unit = units_ == UnitSystem::us ? "gal" : "L";
    std::string body = around_the_plan() +
                       paragraph(
                           "If the gauge shows what stands at the left and the pump tested at "
                           "what stands above, the dispenser has to show at least so many " +
                           unit +
                           ". &ldquo;none&rdquo;: no amount brings the chance of a miss within "
                           "the accepted risk.");
    body += "<table class=\"amounts\">\n<caption>At least, in " + unit +
            "</caption>\n<thead>\n<tr><th scope=\"col\">gauge shows</th>";
    for (const double content : table.contents) {
      body += "<th scope=\"col\">" + html(content_text(content)) + "</th>";
    }
    body += "</tr>\n</thead>\n<tbody>\n";
    std::size_t at = 0;
    for (const double reading : table.readings_l) {
      body += "<tr><th scope=\"row\">" + html(gauge_text(reading, units_)) + "</th>";
      for (std::size_t c = 0; c < table.contents.size(); ++c) {
        const auto& amount = table.amounts_l[at];
        const std::string source = "table/" + std::to_string(at) + "/" + csv_number(reading) + "/" +
                                   csv_number(table.contents[c]);
        const std::string text = amount ? without_unit(dispenser_text(*amount, units_)) : "none";
        body += "<td>" + (amount ? data(source, *amount, text) : text) + "</td>";
        ++at;
      }
      body += "</tr>\n";
    }
    return section(
        "amounts", "Other amounts, and how far the plan may be off",
        body + "</tbody>\n</table>\n" +
            paragraph("A tester's own error is not in these amounts: use the lower end of "
                      "what it may mean. The waiting above is for the plan above; after another "
                      "amount, ask for it "
                      "again.",
                      "soft"));
  }

 private:
  static std::string without_unit(const std::string& text) {
    return text.substr(0, text.find(' '));
  }

  /// How far the plan may be off.
  std::string around_the_plan() const {
    std::string text;
    const decide::HeelResult& heel = guide_.heel;
    if (heel.highest_indicated_l) {
      text += "Filling until the nozzle clicks off lands within the accepted risk from " +
              data("heel/highest_indicated", *heel.highest_indicated_l,
                   gauge_text(*heel.highest_indicated_l, units_)) +
              " indicated or less. ";
    }
    const decide::FillResult& fill = guide_.fill;
    if (fill.safe_amount_l) {
      text += "From " + html(gauge_text(scenario_.heel.indicated_l, units_)) +
              " indicated it takes at least " +
              data("fill/safe_amount", *fill.safe_amount_l,
                   dispenser_text(*fill.safe_amount_l, units_));
      if (fill.largest_amount_l) {
        text += " and at most " + data("fill/largest_amount", *fill.largest_amount_l,
                                       dispenser_text(*fill.largest_amount_l, units_));
      }
      if (fill.margin_l) {
        text += ", " + data("fill/margin", *fill.margin_l, dispenser_text(*fill.margin_l, units_)) +
                " more than plain arithmetic says, for what is not known exactly";
      }
      text += ".";
    } else {
      text += "From " + html(gauge_text(scenario_.heel.indicated_l, units_)) +
              " indicated no amount does unless the pump is tested.";
    }
    return paragraph(text);
  }

  const scenario::Scenario& scenario_;
  const decide::Guide& guide_;
  UnitSystem units_;
};

}  // namespace

std::string guide_amounts(const GuideView& view) {
  return Amounts(view).section_text();
}

}  // namespace blendrisk::report
