#pragma once

#include <utility>

#include "sampling/case_inputs.hpp"

namespace blendrisk::sampling {

/// A scenario with its inputs prepared once, for a question that tries one number after another.
class Question {
 public:
  explicit Question(scenario::Scenario scenario, Scope scope = Scope::landing)
      : scenario_(std::move(scenario)), inputs_(scenario_, scope) {}
  Question(const Question&) = delete;
  Question& operator=(const Question&) = delete;
  ~Question() = default;

  const CaseInputs& inputs() const { return inputs_; }
  const scenario::Scenario& scenario() const { return scenario_; }

  /// To set between estimates: amounts of fills that have one, heel.indicated, and the indicated
  /// readings of later fills that have one. Anything else needs a question of its own.
  scenario::Scenario& numbers() { return scenario_; }

 private:
  scenario::Scenario scenario_;
  CaseInputs inputs_;
};

}  // namespace blendrisk::sampling
