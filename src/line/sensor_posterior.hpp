#pragma once

#include <array>
#include <memory>
#include <optional>

#include "estimate/smc_sampler.hpp"
#include "line/arrival.hpp"
#include "line/readings.hpp"

/// The odds once readings of the sensor have come in.
namespace blendrisk::line {

/// There are no odds to tell.
struct NoPosterior : std::exception {
  enum class Why {
    no_reading,
    contradiction,  ///< no case of the scenario comes near the readings
    few_cases
  };
  explicit NoPosterior(Why what, double effective = 0.0) : why(what), effective_cases(effective) {}

  Why why;
  double effective_cases;
};

struct Posterior {
  std::size_t readings = 0;
  Moment now;                                                      ///< the last reading's
  std::array<double, 5> landed{};                                  ///< at k_quantile_orders
  std::array<double, 5> rail_now{};                                ///< content at the injectors
  std::optional<estimate::Estimate> below_minimum, above_maximum;  ///< of the tank in the end
  estimate::Limit target;
  estimate::Estimate rail_outside;  ///< the injectors now get fuel outside the target's limit
  /// Left to burn until the injectors get fuel within the limit, over the cases that do.
  std::optional<std::array<double, 5>> burn_left_l, time_left_s;
  /// Left to burn for the chance to be outside to come within half the accepted risk, the other
  /// half being for what the cases do not tell; none where the tank itself is outside too often.
  std::optional<double> enough_left_l, enough_left_s;
  double bias_mean = 0.0, bias_sd = 0.0;
  double effective_cases = 0.0;
  std::size_t cases = 0;
  /// How rarely readings fit the scenario as badly as these, from chi-squared of the best case.
  double fit = 1.0;
  /// The tank is beyond the other limit in more cases than accepted.
  bool other_too_often = false;
  /// The whole interval of rail_outside is within the accepted risk, and the other limit is met.
  bool met = false;
  bool display_assumed = false;
  std::optional<estimate::CarriedOver> carried;  ///< for the next changeover, where asked for
  estimate::Effort effort;
};

/// Follows readings as they come in.
class Follow {
 public:
  /// @param scenario  has to outlive this
  /// @throws ImpossibleScenario
  Follow(const scenario::Scenario& scenario, const estimate::Options& options);
  Follow(const Follow&) = delete;
  Follow& operator=(const Follow&) = delete;
  ~Follow();

  const Line& line() const { return line_; }

  /// A reading of this scenario's sensor.
  Reading reading(const Moment& moment, double value) const;

  /// Takes further readings in, in their order. More than k_most_readings are averaged in groups.
  void add(const std::vector<Reading>& readings);

  /// Takes back the readings of the last add.
  void undo();

  /// The odds after all readings so far. The effective number of cases is the variance of a mean
  /// over the cases against its scatter over independent blocks; where that comes out low, all is
  /// done again with more cases. Chances that the cases themselves tell to no better than a tenth
  /// are found by driving them there (SmcSampler::climb, estimate::evidence), down to a millionth
  /// or a tenth of the accepted risk, whichever is less.
  /// @param detail  of which chances
  /// @throws NoPosterior
  enum class Detail {
    decision,  ///< those that leave open whether the accepted risk is met
    all
  };
  Posterior posterior(Detail detail = Detail::all);

  /// What is known now of the tank, the line and the bias, for the next changeover, over sixteen
  /// rounds of cases. After posterior().
  estimate::CarriedOver carried_over();

 private:
  class Model;
  struct Case;
  struct State;
  class Tails;

  void start(std::size_t each);
  void take_in();
  /// @param with_line  whether Case::line is told
  std::vector<Case> cases(bool with_line = false) const;
  double goodness_of_fit() const;
  void sharpen(Detail detail, Posterior& result);
  static double effective(const std::vector<Case>& all);
  Posterior summed_up(const std::vector<Case>& all, double effective_cases) const;

  const scenario::Scenario& scenario_;
  estimate::Options options_;
  sampling::CaseInputs inputs_;
  Line line_;
  estimate::Limit target_;
  Display display_;
  sampling::JointSampler sampler_;
  std::vector<Reading> readings_;      ///< all of them
  std::vector<Reading> taken_, next_;  ///< as grouped: let in, and to be let in
  bool figures_taken_ = false;         ///< what the dispenser showed was let in
  std::unique_ptr<estimate::SmcSampler> smc_;
  /// As it was before the last add.
  std::unique_ptr<estimate::SmcSampler> particles_before_;
  std::vector<Reading> taken_before_;
  std::size_t readings_before_ = 0;
  std::size_t each_ = 256;
  std::uint64_t evaluations_ = 0;
};

}  // namespace blendrisk::line
