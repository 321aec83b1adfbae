#include "answer/shop_index.hpp"

#include "answer/shared.hpp"
#include "answer/words.hpp"
#include "version.hpp"

namespace blendrisk::answer {
namespace {

Value amount_of(const ShopGuide& guide) {
  if (guide.done) return say("none.done");
  return guide.least_l ? amounts(*guide.least_l, guide.largest_l) : say("none.amount");
}

Value reading_of(const ShopGuide& guide) {
  if (guide.done) return say("none.done");
  return guide.highest_l ? gauge(*guide.highest_l) : say("none.reading");
}

}  // namespace

ShopGuide shop_guide(const scenario::Scenario& scenario, const std::string& pump,
                     const decide::Guide& guide, const std::string& file) {
  ShopGuide told{.car = scenario.title,
                 .pump = pump,
                 .file = file,
                 .refused = {},
                 .works = guide.works,
                 .done = guide.done,
                 .least_l = {},
                 .largest_l = {},
                 .highest_l = {}};
  if (guide.done) return told;
  told.least_l = guide.fill.safe_amount_l;
  told.largest_l = guide.fill.largest_amount_l;
  told.highest_l = guide.heel.highest_indicated_l;
  return told;
}

ShopIndex shop_index(const std::string& title, const std::string& date,
                     const std::vector<ShopGuide>& guides) {
  ShopIndex index{.title = title,
                  .about = say("guide.index.about", text(date), text(k_version)),
                  .cars = {},
                  .cautions = {.kind = Block::Kind::items}};
  for (const ShopGuide& guide : guides) {
    if (index.cars.empty() || index.cars.back().heading != guide.car) {
      index.cars.push_back({guide.car,
                            {.kind = Block::Kind::table,
                             .style = "guides",
                             .head = {say("guide.index.pump"), say("guide.index.amount"),
                                      say("guide.index.reading")}}});
    }
    std::vector<std::vector<Value>>& rows = index.cars.back().table.rows;
    if (guide.file.empty()) {
      const Value why = say("guide.index.none", text(guide.refused));
      rows.push_back({text(guide.pump), why, say("guide.index.nothing")});
      continue;
    }
    const Value link = say(guide.works || guide.done ? "guide.index.link" : "guide.index.link.not",
                           text(guide.file), text(guide.pump));
    rows.push_back({link, amount_of(guide), reading_of(guide)});
  }
  for (const std::string& caution : cautions()) index.cautions.values.push_back(text(caution));
  return index;
}

}  // namespace blendrisk::answer
