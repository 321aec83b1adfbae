#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "models/columns.hpp"
#include "scenario/scenario.hpp"

/// The uncertain inputs of a scenario as numbered columns of a batch of cases.
namespace blendrisk::sampling {

/// One input. Its draws are held within [low, high], the physical range (infinite: none).
struct Input {
  distributions::Distribution law;
  double low, high;
  bool uncertain;  ///< not exact, and the landing depends on it
  bool held;       ///< the law reaches beyond [low, high]
};

/// Numbers of the inputs. The old fuel's column holds its content, or the sensor's bias where the
/// scenario gives a reading.
struct Slot {
  static constexpr std::size_t click_off = 0;
  static constexpr std::size_t gauge_error = 1;
  static constexpr std::size_t old_fuel = 2;
  static constexpr std::size_t first_fill = 3;
  static constexpr std::size_t per_fill = 5;

  static constexpr std::size_t content(std::size_t fill) { return first_fill + per_fill * fill; }
  static constexpr std::size_t meter_error(std::size_t fill) { return content(fill) + 1; }
  static constexpr std::size_t hose_volume(std::size_t fill) { return content(fill) + 2; }
  static constexpr std::size_t hose_content(std::size_t fill) { return content(fill) + 3; }
  static constexpr std::size_t burned(std::size_t fill) { return content(fill) + 4; }
};

/// What cases are for: landing alone, or the line and the sensor too, whose inputs follow those of
/// the fills.
enum class Scope { landing, line };

/// The inputs of Scope::line in the order of their slots. The sensor's bias stands here where the
/// old fuel's content is given, else in Slot::old_fuel.
enum class LineInput : std::size_t {
  reservoir,
  filter,
  pipe,
  beyond_sensor,
  return_flow,
  content,  ///< not used where the line holds what the heel does
  idle,
  gentle,
  bias
};
inline constexpr std::size_t k_line_inputs = 9;

/// The correlated inputs of a scenario: joined by a Gaussian copula, see scenario/correlation.hpp.
/// Empty where none are.
struct Correlations {
  std::vector<std::size_t> slots;            ///< in the order of their slots
  std::vector<double> scores;                ///< correlations of their normal scores, by rows
  std::vector<std::optional<double>> known;  ///< the score of those that are known
};

class CaseInputs {
 public:
  /// `scenario` has to outlive this.
  explicit CaseInputs(const scenario::Scenario& scenario, Scope scope = Scope::landing);

  Scope scope() const { return scope_; }
  /// The slot of an input of the line; Scope::line only.
  std::size_t slot(LineInput input) const;

  const scenario::Scenario& scenario() const { return *scenario_; }
  std::size_t size() const { return inputs_.size(); }
  std::size_t fills() const { return scenario_->fills.size(); }
  const Input& operator[](std::size_t slot) const { return inputs_[slot]; }
  bool by_reading() const { return scenario_->heel.reading.has_value(); }

  /// The scenario's key of an input, "fill-2.burn-first".
  std::string key(std::size_t slot) const;

  /// The uncertain inputs but `left_out` (size() or more: none), in the order of their slots.
  std::vector<std::size_t> uncertain(std::size_t left_out) const;

  const Correlations& correlations() const { return correlations_; }

  /// Share of cases in which an input is held at a bound: a draw outside its physical range, an old
  /// fuel by a reading outside [0, 1], a heel outside [0, median click-off].
  double held_share(std::size_t slot) const;

  /// Whether the uncertain inputs' joint law is log-concave: each of them is, and correlated ones
  /// are normal.
  bool log_concave() const;

  /// The key that may leave nothing in the tank after the first fill, in more than 1e-4 of cases;
  /// empty where none does.
  std::string may_empty() const;

 private:
  void add_line();
  void correlate();

  const scenario::Scenario* scenario_;
  Scope scope_;
  std::vector<Input> inputs_;
  Correlations correlations_;
};

/// Up to `capacity` cases: a column for every input, filled with the exact value or the median
/// until it is drawn.
class CaseBatch {
 public:
  CaseBatch(const CaseInputs& inputs, std::size_t capacity);
  std::size_t capacity() const { return static_cast<std::size_t>(values_.rows()); }
  double* column(std::size_t slot) { return values_.column(slot); }
  const double* column(std::size_t slot) const { return values_.column(slot); }

  /// Independent standard normal scores of the correlated inputs, in the order of
  /// CaseInputs::correlations: 0 until drawn.
  double* score(std::size_t i) { return scores_.column(i); }
  const double* score(std::size_t i) const { return scores_.column(i); }

  /// Holds the first n draws of an input within its physical range.
  void hold(const Input& input, std::size_t slot, std::size_t n);

 private:
  models::Columns values_, scores_;
};

}  // namespace blendrisk::sampling
