#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "models/columns.hpp"
#include "scenario/keys.hpp"
#include "scenario/scenario.hpp"

/// The uncertain inputs of a scenario as numbered columns of a batch of cases.
namespace blendrisk::sampling {

/// One input. Its draws are held within [low, high], the physical range (infinite: none).
struct Input {
  distributions::Distribution law;
  double low, high;
  bool uncertain;                      ///< not exact, and the landing depends on it
  bool held;                           ///< the law reaches beyond [low, high]
  const scenario::Key* key = nullptr;  ///< its row of the table; none: always nothing
};

/// Numbers of the inputs: rows of the table of keys in the order of scenario::Uncertain, those of a
/// fill once for each. The old fuel's column holds its content, or the sensor's bias where the
/// scenario gives a reading.
struct Slot {
  using Row = scenario::Uncertain;
  static constexpr auto first_fill = static_cast<std::size_t>(Row::first_of_fill);
  static constexpr std::size_t per_fill = static_cast<std::size_t>(Row::first_of_line) - first_fill;

  /// Of an input of the car or of a fill.
  static constexpr std::size_t of(Row row, std::size_t fill = 0) {
    return static_cast<std::size_t>(row) + (row < Row::first_of_fill ? 0 : per_fill * fill);
  }
  static constexpr auto click_off = static_cast<std::size_t>(Row::click_off);
  static constexpr auto gauge_error = static_cast<std::size_t>(Row::gauge_error);
  static constexpr auto old_fuel = static_cast<std::size_t>(Row::old_content);
  static constexpr std::size_t content(std::size_t fill) { return of(Row::content, fill); }
  static constexpr std::size_t meter_error(std::size_t fill) { return of(Row::meter_error, fill); }
  static constexpr std::size_t hose_volume(std::size_t fill) { return of(Row::hose_volume, fill); }
  static constexpr std::size_t hose_content(std::size_t fill) {
    return of(Row::hose_content, fill);
  }
  static constexpr std::size_t burned(std::size_t fill) { return of(Row::burn_first, fill); }
};

/// What cases are for: landing alone, or the line and the sensor too, whose inputs follow those of
/// the fills. The sensor's bias then stands last where the old fuel's content is given, else in
/// Slot::old_fuel.
enum class Scope { landing, line };

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
  /// The slot of any input; of those of the line in Scope::line only.
  std::size_t slot(scenario::Uncertain input, std::size_t fill = 0) const;

  const scenario::Scenario& scenario() const { return *scenario_; }
  std::size_t size() const { return inputs_.size(); }
  std::size_t fills() const { return scenario_->fills.size(); }
  const Input& operator[](std::size_t slot) const { return inputs_[slot]; }
  bool by_reading() const { return scenario_->heel.reading.has_value(); }

  /// The scenario's key of an input, "fill-2.burn-first"; empty where it has none.
  std::string key(std::size_t slot) const;

  /// The uncertain inputs that are to be drawn: all but `left_out` (size() or more: none) and those
  /// that are told, in the order of their slots.
  std::vector<std::size_t> uncertain(std::size_t left_out) const;

  /// The slots that a second look at the gauge and the dispenser's figures tell where all others
  /// are given (scenario::told_by_gauge, told_by_dispenser), in the order of the fills.
  const std::vector<std::size_t>& told() const { return told_; }
  /// Those drawn and then those told, which follow from them.
  std::vector<std::size_t> with_told(std::vector<std::size_t> drawn) const;
  /// Whether it is drawn with the others, or conditioned on.
  bool is_open(std::size_t slot) const;
  /// Whether any fill is done or the gauge read again: cases then have weights, see
  /// tank::DispenserEvidence.
  bool weighted() const { return weighted_; }

  const Correlations& correlations() const { return correlations_; }

  /// Share of cases in which an input is held at a bound: a draw outside its physical range, an old
  /// fuel by a reading outside [0, 1], a heel outside [0, median click-off].
  double clamped_share(std::size_t slot) const;

  /// Whether the uncertain inputs' joint law is log-concave: each of them is, and correlated ones
  /// are normal.
  bool log_concave() const;

  /// The key that may leave nothing in the tank after the first fill, in more than 1e-4 of cases;
  /// empty where none does.
  std::string may_empty() const;

 private:
  void add(scenario::Uncertain input, std::size_t fill);
  void correlate();

  const scenario::Scenario* scenario_;
  Scope scope_;
  std::vector<Input> inputs_;
  std::vector<std::size_t> told_;
  bool weighted_ = false;
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
