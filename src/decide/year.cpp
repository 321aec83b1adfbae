#include "decide/year.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "decide/variants.hpp"
#include "estimate/cross_entropy.hpp"
#include "models/infinity.hpp"
#include "tank/given_persistent.hpp"

namespace blendrisk::decide {
namespace {

using estimate::Size;

constexpr unsigned k_year_replicates = 16;
/// Points of the rest to fit by, in a first round that sizes the next, and then.
constexpr std::size_t k_rest_to_fit = 32, k_rest_first = 64, k_rest = 256, k_rest_most = 512;
/// log2 of the points of θ in a replicate: at first, and the most.
constexpr unsigned k_first_theta_log2 = 4, k_most_theta_log2 = 10;
constexpr int k_most_year_rounds = 3;
/// A miss in the year as likely as this needs no importance sampling.
constexpr double k_likely_in_a_year = 0.25;

/// ln (1 − p)^n.
double log_none(double p, double n) {
  return p < 1.0 ? n * std::log1p(-p) : -k_infinity;
}

/// What is averaged over θ.
struct Of {
  enum Function : std::size_t { any, once, misses, count };
};
using OverTheta = std::array<double, Of::count>;

/// The chance of at least one miss of a car given θ; keeps the other functions at the same points.
class GivenCar : public estimate::Integrand {
 public:
  /// `visits` and `inputs` have to outlive it.
  GivenCar(std::span<const Visits> visits,
           std::span<const std::unique_ptr<sampling::CaseInputs>> inputs)
      : visits_(visits) {
    for (const auto& one : inputs) given_.push_back(std::make_unique<tank::GivenPersistent>(*one));
  }

  const std::vector<std::size_t>& persistent() const { return given_.front()->persistent(); }

  void scramble(const sampling::Stream& stream, std::size_t points) {
    for (std::size_t k = 0; k < given_.size(); ++k) {
      given_[k]->scramble(sampling::Stream::of_any_seed(stream.of_part(k)), points);
    }
    kept_.clear();
  }

  const std::vector<OverTheta>& kept() const { return kept_; }
  std::uint64_t evaluations() const { return evaluations_; }

  void evaluate(sampling::CaseBatch& batch, estimate::BlendColumns&, std::span<double> f,
                std::span<double> limit_state) const override {
    for (std::size_t i = 0; i < f.size(); ++i) {
      const OverTheta values = at(batch, i);
      kept_.push_back(values);
      f[i] = std::clamp(values[Of::any], 0.0, 1.0);
      if (limit_state.empty()) continue;
      limit_state[i] = -k_infinity;
      for (const auto& given : given_) {
        limit_state[i] = std::max(limit_state[i], given->nearness());
      }
    }
  }

 private:
  OverTheta at(const sampling::CaseBatch& batch, std::size_t i) const {
    // Of either half of the points, then of all.
    std::array<double, 3> none_any{}, none_once{};
    OverTheta values{};
    for (std::size_t k = 0; k < given_.size(); ++k) {
      tank::GivenPersistent& given = *given_[k];
      given.take(given_.front()->inputs(), batch, i);
      const auto halves = given.chances();
      evaluations_ += given.points();
      const double all = 0.5 * (halves[0] + halves[1]);
      const double changes = visits_[k].changes;
      for (std::size_t part = 0; part < 3; ++part) {
        const double p = part < 2 ? halves[part] : all;
        none_any[part] += log_none(p, changes);
        none_once[part] += log_none(p, 1.0);
      }
      values[Of::misses] += changes * all;
    }
    const auto without_bias = [](const std::array<double, 3>& none) {
      const auto chance = [&](std::size_t part) { return -std::expm1(none[part]); };
      return 2.0 * chance(2) - 0.5 * (chance(0) + chance(1));
    };
    values[Of::any] = without_bias(none_any);
    values[Of::once] = without_bias(none_once);
    return values;
  }

  std::span<const Visits> visits_;
  std::vector<std::unique_ptr<tank::GivenPersistent>> given_;
  mutable std::vector<OverTheta> kept_;
  mutable std::uint64_t evaluations_ = 0;
};

/// One of the functions that were kept, at the same points in the same order.
class KeptFunction : public estimate::Integrand {
 public:
  KeptFunction(const std::vector<OverTheta>& kept, Of::Function which)
      : kept_(kept), which_(which) {}
  void evaluate(sampling::CaseBatch&, estimate::BlendColumns&, std::span<double> f,
                std::span<double>) const override {
    for (double& value : f) value = kept_[next_++][which_];
  }

 private:
  const std::vector<OverTheta>& kept_;
  Of::Function which_;
  mutable std::size_t next_ = 0;
};

/// Means of the functions, one a replicate.
struct Replicates {
  std::array<std::vector<double>, Of::count> of;
};

YearFigure figure_of(const estimate::MeanOfReplicates& mean) {
  return {mean.mean, std::sqrt(mean.variance)};
}

/// The mean of one function, what its replicates err with the expected number taken off.
YearFigure regressed(const Replicates& all, Of::Function which, const YearFigure& expected) {
  const std::vector<double>& f = all.of[which];
  const std::vector<double>& h = all.of[Of::misses];
  const double f_mean = estimate::mean_of(f).mean;
  const double h_mean = estimate::mean_of(h).mean;
  double both = 0.0, square = 0.0;
  for (std::size_t r = 0; r < f.size(); ++r) {
    both += (f[r] - f_mean) * (h[r] - h_mean);
    square += (h[r] - h_mean) * (h[r] - h_mean);
  }
  // Neither grows faster than the expected number.
  const double slope = square > 0.0 ? std::clamp(both / square, 0.0, 1.0) : 0.0;
  std::vector<double> rest(f.size());
  for (std::size_t r = 0; r < f.size(); ++r) rest[r] = f[r] + slope * (expected.value - h[r]);
  YearFigure figure = figure_of(estimate::mean_of(rest));
  figure.standard_error = std::hypot(figure.standard_error, slope * expected.standard_error);
  return figure;
}

class CarYear {
 public:
  CarYear(std::span<const Visits> visits, const estimate::Options& options)
      : visits_(visits), options_(options) {
    for (const Visits& one : visits) {
      require_to_plan(one.scenario);
      inputs_.push_back(std::make_unique<sampling::CaseInputs>(one.scenario));
      own_.value += one.changes * one.own_chance;
      own_.standard_error =
          std::hypot(own_.standard_error, one.changes * one.chance.standard_error);
    }
  }

  Year run() {
    GivenCar car(visits_, inputs_);
    Year year;
    if (car.persistent().empty()) {
      year.any.value = of_own([](const Visits& one) { return one.changes; });
      year.once.value = of_own([](const Visits&) { return 1.0; });
      year.any.standard_error = own_.standard_error * (1.0 - year.any.value);
      year.once.standard_error = once_error() * (1.0 - year.once.value);
    } else {
      estimate(car, year);
    }
    year.evaluations = car.evaluations();
    add_measured(year);
    return year;
  }

 private:
  template <class Changes>
  double of_own(const Changes& changes) const {
    double none = 0.0;
    for (const Visits& one : visits_) none += log_none(one.own_chance, changes(one));
    return -std::expm1(none);
  }
  double once_error() const {
    double error = 0.0;
    for (const Visits& one : visits_) error = std::hypot(error, one.chance.standard_error);
    return error;
  }

  void estimate(GivenCar& car, Year& year) {
    const estimate::Problem problem{
        {*inputs_.front(), car.persistent()}, &car, options_.seed, sampling::Purpose::year};
    estimate::Workspace space(*inputs_.front());
    car.scramble({options_.seed, sampling::Purpose::given_persistent}, k_rest_to_fit);
    std::uint64_t rough = 0;
    estimate::Mixture mixture;
    if (estimate::rough_chance(problem, space, rough) < k_likely_in_a_year) {
      mixture = estimate::fit_importance(problem, space).mixture;
    }
    const unsigned least = std::max(k_first_theta_log2, mixture.least_log2());
    unsigned log2 = least;
    std::size_t rest = k_rest_first;
    for (int round = 0; round <= k_most_year_rounds; ++round) {
      const Replicates all = replicates(problem, car, mixture, {1, log2}, rest, round, space);
      if (!(estimate::mean_of(all.of[Of::misses]).mean > 0.0)) {
        // None was seen: no more than the expected number.
        year.any = year.once = {std::min(own_.value, 1.0), 0.5 * std::min(own_.value, 1.0)};
      } else {
        year.any = regressed(all, Of::any, own_);
        year.once = regressed(all, Of::once, own_);
      }
      // The first only sizes the next, so that no run is favoured that looks better than it is.
      const double error = year.any.standard_error / std::max(year.any.value, 1e-300);
      if (round > 0 && (error <= options_.precision || log2 == k_most_theta_log2)) break;
      const double doublings = std::ceil(std::log2(error / options_.precision));
      const double held = std::clamp(doublings, 1.0, 4.0);
      log2 =
          std::min(k_most_theta_log2, log2 + static_cast<unsigned>(std::isnan(held) ? 1.0 : held));
      log2 = std::max(log2, least);
      rest = round == 0 ? k_rest : k_rest_most;
    }
  }

  Replicates replicates(const estimate::Problem& problem, GivenCar& car,
                        const estimate::Mixture& mixture, const Size& size, std::size_t rest,
                        int round, estimate::Workspace& space) const {
    Replicates all;
    for (unsigned r = 0; r < k_year_replicates; ++r) {
      const auto number = static_cast<std::uint64_t>(round) * k_year_replicates + r;
      car.scramble({options_.seed, sampling::Purpose::given_persistent, number}, rest);
      const auto mean = [&](const estimate::Integrand& integrand) {
        estimate::Problem one = problem;
        one.integrand = &integrand;
        return estimate::run_round(one, mixture, size, number, 1, space, {}).means[0];
      };
      mean(car);
      for (std::size_t which = 0; which < Of::count; ++which) {
        all.of[which].push_back(mean(KeptFunction(car.kept(), static_cast<Of::Function>(which))));
      }
    }
    return all;
  }

  /// What measured values may bear beside the chances, at every change anew.
  void add_measured(Year& year) const {
    double none = 0.0;
    double none_once = 0.0;
    double independent = 0.0;
    double slope = 0.0;
    for (const Visits& one : visits_) {
      const double more =
          std::clamp((one.chance.chance - one.own_chance) / (1.0 - one.own_chance), 0.0, 1.0);
      none += log_none(more, one.changes);
      none_once += log_none(more, 1.0);
      independent += log_none(one.chance.chance, one.changes);
      year.misses.value += one.changes * one.chance.chance;
      slope = std::hypot(slope, one.changes * one.chance.standard_error);
    }
    year.misses.standard_error = slope;
    year.independent = {-std::expm1(independent), slope * std::exp(independent)};
    const auto lift = [](YearFigure& figure, double log_rest) {
      figure.value = 1.0 - (1.0 - std::clamp(figure.value, 0.0, 1.0)) * std::exp(log_rest);
      figure.standard_error *= std::exp(log_rest);
    };
    if (none < 0.0) lift(year.any, none);
    if (none_once < 0.0) lift(year.once, none_once);
    year.any.value = std::clamp(year.any.value, 0.0, std::min(1.0, year.misses.value));
  }

  std::span<const Visits> visits_;
  const estimate::Options& options_;
  std::vector<std::unique_ptr<sampling::CaseInputs>> inputs_;
  YearFigure own_;  ///< the expected number without what measured values bear
};

}  // namespace

Year year_of_car(std::span<const Visits> visits, const estimate::Options& options) {
  return CarYear(visits, options).run();
}

Year year_of_shop(std::span<const Year> cars) {
  Year shop;
  const auto joined = [&](YearFigure Year::*which) {
    double none = 0.0;
    double relative = 0.0;
    for (const Year& car : cars) {
      const YearFigure& one = car.*which;
      none += log_none(one.value, 1.0);
      relative = std::hypot(relative, one.standard_error / std::max(1.0 - one.value, 1e-300));
    }
    return YearFigure{-std::expm1(none), std::exp(none) > 0.0 ? std::exp(none) * relative : 0.0};
  };
  shop.any = joined(&Year::any);
  shop.independent = joined(&Year::independent);
  shop.once = joined(&Year::once);
  for (const Year& car : cars) {
    shop.misses.value += car.misses.value;
    shop.misses.standard_error = std::hypot(shop.misses.standard_error, car.misses.standard_error);
    shop.evaluations += car.evaluations;
  }
  return shop;
}

}  // namespace blendrisk::decide
