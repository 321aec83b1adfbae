#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/guide.hpp"

/// The page that leads to the guides of every car with every pump.
namespace blendrisk::answer {

struct ShopGuide {
  std::string car, pump;             ///< titles
  std::string file;                  ///< the guide's page beside the index; empty: there is none
  std::string refused;               ///< why there is none
  bool works = false, done = false;  ///< as of decide::Guide
  std::optional<double> least_l, largest_l, highest_l;  ///< amounts and the reading [L]
};

/// What the index says of a guide. @param file  as above
ShopGuide shop_guide(const scenario::Scenario& scenario, const std::string& pump,
                     const decide::Guide& guide, const std::string& file);

struct IndexSection {
  std::string heading;
  Block table;
};

struct ShopIndex {
  std::string title;
  Value about;
  std::vector<IndexSection> cars;
  Block cautions;
};

/// @param guides  car by car
ShopIndex shop_index(const std::string& title, const std::string& date,
                     const std::vector<ShopGuide>& guides);

}  // namespace blendrisk::answer
