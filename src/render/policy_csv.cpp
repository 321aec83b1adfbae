#include "render/policy_csv.hpp"

#include "answer/format.hpp"
#include "answer/words.hpp"
#include "render/csv.hpp"
#include "text/quoting.hpp"

namespace blendrisk::render {

std::string policy_csv(const answer::PolicyView& view) {
  const decide::PolicyYear& wall = view.wall();
  std::string text = csv_caution() + csv_line({"car", "pump", "changes", "accepted_risk",
                                               "amount_l", "margin_l", "chance", "standard_error"});
  for (std::size_t i = 0; i < view.places.size(); ++i) {
    const answer::PolicyPlaceName& place = view.places[i];
    const decide::PlaceAmount& amount = wall.places[i];
    const bool told = amount.amount_l.has_value();
    const auto number = [](const std::optional<double>& value) {
      return value ? answer::exact_text(*value) : std::string();
    };
    using answer::operator""_w;
    text += csv_line({text::escaped(view.cars[place.car]), text::escaped(view.pumps[place.pump]),
                      number(place.changes), number(wall.risk),
                      told ? number(amount.amount_l) : "none.amount"_w, number(amount.margin_l),
                      told ? number(amount.chance.chance) : "",
                      told ? number(amount.chance.standard_error) : ""});
  }
  return text;
}

}  // namespace blendrisk::render
