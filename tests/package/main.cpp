#include <cmath>
#include <cstdio>

#include "scenario/read.hpp"
#include "tank/chance.hpp"
#include "version.hpp"

/// A scenario with a closed answer: half of the tank is at 0 %, the other half uniform between 60 %
/// and 80 %, so the chance of landing below 31 % is 1/10.
int main() {
  const blendrisk::scenario::Source source{"inline",
                                           "[tank]\ncapacity = 50 L\n"
                                           "[heel]\nindicated = 25 L\ncontent = 0 %\n"
                                           "[fuel]\ncontent = uniform(60 %, 80 %)\n"
                                           "[limits]\nminimum = 31 %\n"};
  const auto scenario =
      blendrisk::scenario::read(source, {}, [](const std::string&) { return std::string(); });
  const auto result = blendrisk::tank::estimate_chance(scenario, {});
  std::printf("blendrisk %s: %.6f\n", blendrisk::k_version, result.outside.chance);
  return std::abs(result.outside.chance - 0.1) < 1e-9 ? 0 : 1;
}
