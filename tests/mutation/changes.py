"""Wrong changes to the physics and the estimator: each has to make some unit test fail.

file, what stands there (once), what takes its place, and the tests that are to see it (a GoogleTest
filter).
"""

BLEND = "models/blend.hpp"
TRANSIT = "models/transit.cpp"
CHAIN = "models/prepared_chain.cpp"
SENSOR = "models/sensor.cpp"

CHANGES = {
    "gauge error with the wrong sign": (
        BLEND, "T(indicated_l + gauge_error_l)", "T(indicated_l - gauge_error_l)", "Blend*:Fill*:Heel*"),
    "the way to the pump added": (
        BLEND, "T(indicated_l - distance_km * economy_l_per_km)",
        "T(indicated_l + distance_km * economy_l_per_km)", "WayToThePump*"),
    "running dry at the floor above the reading": (
        "src/tank/integrands.cpp", "k_infinity : floor - indicated[i];",
        "k_infinity : floor + indicated[i];", "WayToThePump*"),
    "the heel held by the gauge alone": (
        "src/sampling/case_inputs.cpp", "scenario_->heel.indicated_l - burned;",
        "scenario_->heel.indicated_l;", "WayToThePump*"),
    "a second look at both readings' sum": (
        "src/scenario/read.cpp", "scenario.heel.indicated_l - there_l;",
        "scenario.heel.indicated_l + there_l;", "WayToThePump*"),
    "a second look by the other input": (
        "src/tank/dispenser_evidence.cpp", "const double* other = by_economy ? distance : economy;",
        "const double* other = by_economy ? economy : distance;", "WayToThePump*"),
    "burned fuel added": (
        BLEND, "T(total_l - burned_l)", "T(total_l + burned_l)", "Blend*:Agreement*:Chance*"),
    "hose taken from the old fuel's share": (
        BLEND, "T((added - hose) * inverse)", "T((added + hose) * inverse)", "Blend*:Chance*"),
    "click-off by the order, not the room": (
        BLEND, "T(ordered_l - room)", "T(room - ordered_l)", "Blend*:Chance*:Agreement*"),
    "a reading's bias with the wrong sign": (
        BLEND, "T(reading - bias)", "T(reading + bias)", "Blend*:Chance*:Fill*"),
    "heel and hose swapped in the mix": (
        "models/blend_batch.cpp", "mixed_content(parts, content[i], hose[i], fresh[i])",
        "mixed_content(parts, hose[i], content[i], fresh[i])", "Blend*:Chance*"),
    "meter error halved": (
        "models/blend_batch.cpp", "amount * (1.0 + meter[i])", "amount * (1.0 + 0.5 * meter[i])",
        "Blend*:Fill*:Agreement*"),
    "two stirred volumes with the wrong sign": (
        TRANSIT, "remaining -= a * exp_difference(a, b);", "remaining += a * exp_difference(a, b);",
        "Transit*"),
    "laminar flow from the whole pipe on": (
        TRANSIT, "if (q_l <= 0.5 * chain.pipe_l) return 0.0;",
        "if (q_l <= chain.pipe_l) return 0.0;", "Transit*:PreparedChain*"),
    "a weight's numerator swapped": (
        CHAIN, "weight *= v[i] / (v[i] - v[j])", "weight *= v[j] / (v[i] - v[j])",
        "PreparedChain*"),
    "one term of the pipe's series too few": (
        "models/pipe_function.cpp", "for (int k = 3; k < 80 &&", "for (int k = 3; k < 6 &&",
        "PipeFunction*"),
    "two volumes of a batch in the wrong order": (
        "models/chain_loops.cpp", "const double middle = smaller_of(high, c[i]);",
        "const double middle = larger_of(high, c[i]);", "ChainBatch*"),
    "a batch's weight with a sum for a difference": (
        "models/chain_loops.cpp", "(v - other) * (v - third)", "(v - other) * (v + third)",
        "ChainBatch*"),
    "the bend of a search with the wrong sign": (
        "models/chain_loops.cpp", "bend[i] -= 2.0 * square[i] / q[i] * rates[i];",
        "bend[i] += 2.0 * square[i] / q[i] * rates[i];", "ChainBatch*"),
    "a batch's later phases begin anew": (
        "models/lagged_batch.cpp", "share_[i] += stretch.behind[i] * left;", "share_[i] += left;",
        "LaggedBatch*"),
    "what flows back left out of a batch": (
        "src/line/line_batch.cpp", "through_.back().rate_l_per_s = sums_[k].data();", "",
        "LineBatch*"),
    "the sensor's lag by twice the rate": (
        SENSOR, "chain.stirred_l[2] = phase.rate_l_per_s * lag_s;",
        "chain.stirred_l[2] = 2.0 * phase.rate_l_per_s * lag_s;", "Sensor*:LaggedShare*"),
    "a phase's time forgotten": (
        "models/schedule.hpp", "    time += phase.duration_s;\n", "", "Schedule*:Arrival*"),
    "every test a delivery": (
        "src/learn/pump_law.cpp", "*test.day - *all.back().day <= within_days",
        "*test.day - *all.back().day < 0.0", "PumpLaw.*"),
    "tests that agree parted": (
        "src/learn/pump_law.cpp", "std::abs(one.contents[i] - one.contents[i - 1]) > most",
        "std::abs(one.contents[i] - one.contents[i - 1]) < most", "PumpLaw.*"),
    "a full tank's gauge taken from a fill stopped by hand": (
        "src/learn/shop_laws.cpp", "log.stopped_by[row] == scenario::StoppedBy::click_off",
        "log.stopped_by[row] == scenario::StoppedBy::hand", "ShopLaws*"),
    "the tester's bias added to a pump": (
        "src/learn/pump_law.cpp", "law.center -= tester.bias;", "law.center += tester.bias;",
        "PumpLaw.*"),
    "the tester's bias taken from a sensor": (
        "src/learn/sensor_law.cpp", "law.center += tester.bias;", "law.center -= tester.bias;",
        "SensorLaw.*"),
    "a fill to click-off with the gauge's error added": (
        "src/learn/gauge_law.cpp", "{1.0, -1.0, -x}", "{1.0, 1.0, x}", "GaugeLaw.*"),
    "a delivery's mean as sure as its group": (
        "src/learn/variance_components.cpp",
        "return 1.0 / (variances.group + variances.residual / group.count);",
        "return 1.0 / (variances.group + variances.residual);", "VarianceComponents*"),
    "variance by n instead of n - 1": (
        "src/estimate/interval.cpp", "squares / (n - 1.0) / n", "squares / n / n",
        "Interval*:Coverage*"),
    "the exact interval one hit off": (
        "src/estimate/interval.cpp", "beta_quantile(k, all - k + 1.0, 0.025",
        "beta_quantile(k + 1.0, all - k, 0.025", "Interval*"),
    "an upper quantile of Student's t from below": (
        "src/numeric/sampling_laws.cpp", "quantile(complement(StudentT(dof), tail))",
        "quantile(StudentT(dof), tail)", "SamplingLaws*"),
    "a tail of the conditioned content swapped": (
        "src/tank/linear_blend.cpp", "const bool lower_tail = below != reflected_;",
        "const bool lower_tail = below == reflected_;", "Chance*:Agreement*"),
    "the tilt's weight without its square": (
        "src/sampling/exponential_tilt.cpp", "log_ratio[i] += shift * (z[i] - 0.5 * shift);",
        "log_ratio[i] += shift * (z[i] - shift);", "ExponentialTilt*:Chance*"),
    "the mixture's shares swapped": (
        "src/estimate/randomised_qmc.cpp", "ratio[i] = 1.0 / 9.0 + 8.0 / 9.0 * tilted[i]",
        "ratio[i] = 8.0 / 9.0 + 1.0 / 9.0 * tilted[i]", "Chance*:Agreement*"),
    "a score's density without its square": (
        "src/sampling/score_mixture.cpp", "0.5 - 0.5 / (s * s), m / (s * s)",
        "0.5 - 0.5 / (s * s), m / s", "ScoreMixture*:MixtureFit*"),
    "a first Sobol' point that is skipped": (
        "src/sampling/sobol.cpp", "  x[0] = point(first);\n", "  x[0] = point(first + 1);\n",
        "Sobol*"),
    "old and new fuel swapped in the rail": (
        "src/line/fuel_line.cpp", "const double stale = 1.0 - fresh;",
        "const double stale = fresh;", "Arrival*"),
    "the line's old fuel lost in the return": (
        "src/line/fuel_line.cpp", "return (total_l * landed + volume_l * old)",
        "return (total_l * landed + volume_l * landed)", "Arrival*:Posterior*"),
    "a posterior's likelihood with twice the noise": (
        "src/line/readings.cpp", "sum[i] += -0.5 * r * r", "sum[i] += -0.25 * r * r",
        "Posterior*:Reading*"),
    "the first-order index from the wrong half": (
        "src/estimate/sensitivity.cpp", "first += at_b[i] * off;", "first += at_a[i] * off;",
        "Sensitivity*"),
    "a total index without its half": (
        "src/estimate/sensitivity.cpp", "total += 0.5 * off * off;", "total += off * off;",
        "Sensitivity*"),
    "a rank correlation taken as that of the scores": (
        "src/scenario/correlation.cpp", "2.0 * std::sin(std::numbers::pi * rank / 6.0)", "rank",
        "Correlat*:Drawer*"),
    "the conditioned score's spread forgotten": (
        "src/sampling/conditional_law.cpp",
        "score[i] = (score[i] - sign * m[i]) / own;",
        "score[i] = (score[i] - sign * m[i]) / (own > 0.0 ? 1.0 : own);", "Correlated*"),
    "amounts rounded down": (
        "src/decide/allowed.cpp", "Span shown{rounded_up(span.low, step_l),",
        "Span shown{rounded_down(span.low, step_l),", "Fill.AmountsAreRounded*"),
    "amounts taken from the search alone": (
        "src/decide/allowed.cpp", "return found && found->value;",
        "return found.has_value();", "Table*"),
    "the window without the dry risk": (
        "src/decide/heel.cpp", "result.window = {std::max(found->lowest, *result.lowest_indicated_l), found->highest};",
        "result.window = {found->lowest, found->highest};", "Heel*"),
    "measured values that bear 1/n": (
        "src/scenario/known.hpp", "1.0 / (static_cast<double>(count) + 1.0)",
        "1.0 / static_cast<double>(count)", "Measured*"),
    "the better end of what measured values leave open": (
        "src/estimate/measured.cpp", "std::max(at_ends[0], at_ends[1])",
        "std::min(at_ends[0], at_ends[1])", "Measured*"),
    "half of a display's step left out of its readings": (
        "src/line/shown_readings.cpp", "for (std::size_t by = 0; by <= k_parts; ++by)",
        "for (std::size_t by = 0; by <= k_parts / 2; ++by)", "WaitingTable*"),
    "the sensor's error with the wrong sign": (
        "src/line/shown_readings.cpp", "const long high = place - error.first + zero_;",
        "const long high = place + error.first + zero_;", "WaitingTable*"),
    "noise of a look with the wrong sign": (
        "src/decide/waiting_table.cpp", "const double score = met[i] / sensor_.noise_sd;",
        "const double score = -met[i] / sensor_.noise_sd;", "WaitingTable*"),
    "what a line holds without its slow end": (
        CHAIN, "return early ? side : 1.0 - side;", "return side;", "PreparedChain*"),
    "a law through quantiles flat beyond its ends": (
        "src/distributions/quantiles.cpp", "const double from = i == 0 ? -k_infinity : z_[i];",
        "const double from = z_[i];", "Distribution*:Quantiles*"),
    "ranks that leave equal values out": (
        "src/line/carry_over.cpp", "rank[order[from]] = below + 0.5 * equal;",
        "rank[order[from]] = below + order[from];", "CarryOver*"),
    "the weight of a case forgotten in the correlation": (
        "src/line/carry_over.cpp", "ab += cases[i].weight * (a[i] - middle) * (b[i] - middle);",
        "ab += cases[i].weight * a[i] * b[i];", "CarryOver*"),
    "persistent inputs drawn anew with the rest": (
        "src/tank/given_persistent.cpp", "batch.column(slot)[i]);\n    const auto column_of",
        "*batch.column(slot));\n    const auto column_of", "Year*"),
    "what a car's pumps share forgotten in its scores": (
        "src/tank/given_persistent.cpp", "drawn ? batch.score(there)[i]", "drawn ? 0.0 * batch.score(there)[i]", "Year*"),
    "a year's misses without the number of changes": (
        "src/decide/year.cpp", "none_any[part] += log_none(p, changes);", "none_any[part] += log_none(p, 1.0);", "Year*"),
    "misses that cost nothing": (
        "src/decide/policy_costs.cpp", "cost_of_miss * std::exp(misses_at(at))", "std::exp(misses_at(at))",
        "Policy*:LeastCost*"),
}
