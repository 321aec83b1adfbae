#include "units/quantity.hpp"

#include <array>
#include <cmath>

#include "distributions/distribution_text.hpp"
#include "scenario/column.hpp"
#include "tests/fuzz/require.hpp"
#include "text/error.hpp"
#include "text/quoting.hpp"

namespace blendrisk::fuzz {
namespace {

constexpr std::array k_dimensions{
    units::Dimension::volume,  units::Dimension::content, units::Dimension::fraction,
    units::Dimension::rate,    units::Dimension::time,    units::Dimension::distance,
    units::Dimension::economy, units::Dimension::price,   units::Dimension::number};

void read_quantity(const std::string& text, units::Dimension dimension) {
  try {
    require(std::isfinite(units::parse_quantity(text, dimension)));
  } catch (const text::Error& error) {
    require_message(text::escaped(error.what()));
    require_message(error.accepted);
  }
}

/// A law that was accepted has an increasing inverse within its ends.
void use(const distributions::Distribution& law) {
  const double low = distributions::lowest(law);
  const double high = distributions::highest(law);
  require(low <= high);
  double before = low;
  for (const double p : {1e-6, 0.01, 0.5, 0.99, 1.0 - 1e-6}) {
    const double x = distributions::quantile(law, p);
    require(x >= before && x <= high);
    before = x;
    const double below = distributions::cdf(law, x);
    require(below >= 0.0 && below <= 1.0);
  }
}

void read_law(const std::string& text, units::Dimension dimension) {
  const auto column = [](const std::string& path, const std::string& name) {
    return scenario::read_column(path, "content_percent,volume_l\n70,1\n75,2\n71,9\n", name,
                                 units::Dimension::number);
  };
  try {
    use(distributions::parse_distribution(text, dimension, column));
  } catch (const text::Error& error) {
    require_message(text::escaped(error.what()), error.place.source.empty() ? 0 : text.size());
    require_message(error.accepted);
  }
}

}  // namespace
}  // namespace blendrisk::fuzz

// Any text is a quantity or a law of the dimension that the first byte chooses, or is refused.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace blendrisk::fuzz;
  if (size == 0 || size > 1000) return 0;
  const auto dimension = k_dimensions[data[0] % k_dimensions.size()];
  const std::string text = text_of(data + 1, size - 1);
  read_quantity(text, dimension);
  read_law(text, dimension);
  return 0;
}
