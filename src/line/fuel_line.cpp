#include "line/fuel_line.hpp"

#include <algorithm>
#include <cmath>

#include "line/line_batch.hpp"
#include "models/blend.hpp"
#include "models/infinity.hpp"

namespace blendrisk::line {
namespace {

using sampling::CaseBatch;
using sampling::CaseInputs;
using sampling::Slot;
using scenario::Uncertain;

/// The key of the first rate that the schedule needs and the scenario does not give; empty: none.
const char* missing_rate(const scenario::Engine& engine) {
  for (const scenario::Phase& phase : engine.schedule) {
    const bool idle = phase.load == scenario::Load::idle;
    if (!(idle ? engine.idle : engine.gentle)) return idle ? "engine.idle" : "engine.gentle";
  }
  return "";
}

/// Not an exact 0.
bool is_some(const distributions::Distribution& law) {
  return !distributions::is_exact(law) || distributions::mean(law) > 0.0;
}

bool flows_back(const scenario::Line& line) {
  return is_some(line.return_flow);
}

}  // namespace

bool has_volume(const scenario::Line& line) {
  return is_some(line.reservoir) || is_some(line.filter) || is_some(line.pipe) ||
         is_some(line.beyond_sensor);
}

void require_volume(const scenario::Line& line) {
  if (has_volume(line)) return;
  throw estimate::ImpossibleScenario(estimate::Impossible::no_line);
}

double LineCase::passed(const Moment& moment) const {
  if (std::isinf(moment.value)) return k_infinity;
  if (moment.by == Moment::By::time) return models::pumped_volume(through, moment.value);
  if (!(return_l_per_s > 0.0)) return moment.value;
  return models::pumped_volume(through, models::time_to_pump(burned, moment.value));
}

double LineCase::burned_once_passed(double q_l) const {
  if (!(return_l_per_s > 0.0) || std::isinf(q_l)) return q_l;
  return models::pumped_volume(burned, models::time_to_pump(through, q_l));
}

double LineCase::time_once_passed(double q_l) const {
  return std::isinf(q_l) ? k_infinity : models::time_to_pump(through, q_l);
}

double LineCase::settled(double landed, double total_l, double old) const {
  return settled_content(landed, total_l, old, return_l_per_s, volume_l());
}

double settled_content(double landed, double total_l, double old, double return_l_per_s,
                       double volume_l) {
  if (!(return_l_per_s > 0.0)) return landed;
  return (total_l * landed + volume_l * old) / (total_l + volume_l);
}

models::Pipe pipe_of(scenario::PipeFlow flow) {
  return flow == scenario::PipeFlow::plug ? models::Pipe::plug : models::Pipe::laminar;
}

Line::Line(const CaseInputs& inputs) : inputs_(&inputs) {
  const scenario::Scenario& scenario = inputs.scenario();
  const std::string missing = missing_rate(scenario.engine);
  if (missing.empty()) return;
  has_rates_ = false;
  const char* needs = scenario.sensor.lag_s > 0.0 ? "sensor.lag"
                      : flows_back(scenario.line) ? "line.return-flow"
                                                  : nullptr;
  if (needs == nullptr) return;
  throw estimate::ImpossibleScenario(estimate::Impossible::no_rate, missing, needs);
}

void Line::load(const CaseBatch& batch, std::size_t i, LineCase& out) const {
  const scenario::Scenario& scenario = inputs_->scenario();
  const auto value = [&](Uncertain input) { return batch.column(inputs_->slot(input))[i]; };
  const models::Pipe pipe = pipe_of(scenario.line.pipe_flow);
  const double reservoir = value(Uncertain::reservoir);
  const double filter = value(Uncertain::filter);
  const double pipe_l = value(Uncertain::pipe);
  out.to_sensor = {{reservoir, filter, 0.0}, pipe_l, pipe};
  out.to_injectors = {{reservoir, filter, value(Uncertain::beyond_sensor)}, pipe_l, pipe};
  out.return_l_per_s = value(Uncertain::return_flow);
  out.burned.clear();
  out.through.clear();
  if (!has_rates_) return;
  for (const scenario::Phase& phase : scenario.engine.schedule) {
    const double rate =
        value(phase.load == scenario::Load::idle ? Uncertain::idle : Uncertain::gentle);
    const double duration = phase.duration_s.value_or(k_infinity);
    out.burned.push_back({rate, duration});
    out.through.push_back({rate + out.return_l_per_s, duration});
  }
}

double Line::old_content(const CaseBatch& batch, std::size_t i) const {
  const scenario::Scenario& scenario = inputs_->scenario();
  if (scenario.line.content) return batch.column(inputs_->slot(Uncertain::line_content))[i];
  const double heel = batch.column(Slot::old_fuel)[i];
  return inputs_->by_reading() ? models::content_from_reading(*scenario.heel.reading, heel) : heel;
}

double Line::bias(const CaseBatch& batch, std::size_t i) const {
  return batch.column(inputs_->slot(Uncertain::bias))[i];
}

LineCase Line::typical() const {
  LineCase out;
  load(CaseBatch(*inputs_, 1), 0, out);
  return out;
}

RailOutside::RailOutside(const Line& line, const tank::LinearBlend& landing,
                         const estimate::Limit& limit, Moment moment)
    : line_(line), landing_(landing), outside_(landing, limit), moment_(moment) {}

void RailOutside::evaluate(CaseBatch& batch, estimate::BlendColumns& columns, std::span<double> f,
                           std::span<double> limit_state) const {
  landing_.evaluate(batch, f.size(), columns);
  // The line's old fuel is the conditioned content itself where it is the heel's.
  const bool same =
      landing_.conditioned() == Slot::old_fuel && !line_.inputs().scenario().line.content;
  LineBatch lines(line_);
  lines.load(batch, columns.a(), columns.total(), f.size());
  models::ChainBatch chains;
  chains.prepare(lines.to_injectors(), f.size());
  std::vector<double> passed(f.size());
  lines.passed(moment_, passed);
  chains.cdf(passed, f);
  const double* back = batch.column(line_.inputs().slot(Uncertain::return_flow));
  double* a = columns.a();
  double* b = columns.b();
  for (std::size_t i = 0; i < f.size(); ++i) {
    const double volume = lines.volume_l(i);
    const double old_share = back[i] > 0.0 ? volume / (columns.total()[i] + volume) : 0.0;
    // Shares of the landed and of the old fuel in what the injectors get.
    const double fresh = f[i] * (1.0 - old_share);
    const double stale = 1.0 - fresh;
    a[i] = fresh * a[i] + (same ? 0.0 : stale * lines.old()[i]);
    b[i] = fresh * b[i] + (same ? stale : 0.0);
  }
  outside_.evaluate(batch, columns, f, limit_state);
}

}  // namespace blendrisk::line
