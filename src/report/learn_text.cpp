#include "report/learn_text.hpp"

#include <algorithm>
#include <cmath>

#include "report/cautions.hpp"
#include "report/format.hpp"
#include "report/json_parts.hpp"
#include "report/labels.hpp"
#include "report/plain_text.hpp"
#include "version.hpp"

namespace blendrisk::report {
namespace {

using learn::Fitted;
using learn::StudentLaw;
using learn::TestSet;

/// Wrapped comment lines.
std::string comment(const std::string& text) {
  std::string lines = wrapped(text, "# ");
  // Lines that follow begin with spaces where the first has its mark.
  for (std::size_t at = lines.find("\n  "); at != std::string::npos; at = lines.find("\n  ", at)) {
    lines[at + 1] = '#';
  }
  return lines;
}

std::string cautions() {
  std::string text = "#\n# Cautions\n";
  for (const std::string_view caution : k_cautions) text += comment("- " + std::string(caution));
  return text;
}

std::string in_percent(double fraction, int decimals = 2) {
  return content_text(fraction, decimals);
}

/// How many decimals show two digits of the error.
int decimals_for(double error) {
  if (!(error > 0.0)) return 4;
  return std::clamp(static_cast<int>(1.0 - std::floor(std::log10(error))), 0, 15);
}

/// "student(73.41 %, 4.02 %, 11)", with a scale that is never rounded to nothing.
std::string student_text(const StudentLaw& law) {
  const double scale = 100.0 * law.scale;
  return "student(" + in_percent(law.center, std::max(2, decimals_for(scale))) + ", " +
         significant_text(scale, 4) + " %, " + short_text(law.dof, 9) + ")";
}

/// The same, in [0 %, 100 %].
std::string law_text(const StudentLaw& law) {
  return student_text(law) + " in [0 %, 100 %]";
}

/// Values one by one while they stay readable; more tests are no longer a line.
std::string tests_law(const TestSet& set) {
  constexpr std::size_t k_most_listed = 50;
  if (set.contents.size() > k_most_listed) return student_text(learn::of_the_mean(set));
  std::string text = "tests(";
  for (std::size_t i = 0; i < set.contents.size(); ++i) {
    text += (i == 0 ? "" : ", ") + short_text(100.0 * set.contents[i], 12) + " %";
  }
  return text + ")";
}

std::string summary(const TestSet& set) {
  return std::to_string(set.contents.size()) + " tests, mean " + in_percent(set.mean) +
         ", standard deviation " + in_percent(set.sd) + ", from " + content_text(set.lowest) +
         " to " + content_text(set.highest);
}

std::string group_lines(const TestSet& set) {
  const std::string name = "# " + shortened(set.group.empty() ? "(no name)" : set.group, 40) + ": ";
  if (!set.has_law()) {
    return name + std::to_string(set.contents.size()) +
           (set.contents.size() == 1 ? " test, too few for a law\n"
                                     : " tests, all equal, no law\n");
  }
  return name + summary(set) + "\n#   content = " + law_text(next_delivery(set)) + "\n";
}

std::string normal_text(const Fitted& one, double factor, const std::string& unit) {
  const double error = one.standard_error * factor;
  if (!(error > 1e-6)) return fixed_text(one.value * factor, 4) + " " + unit;
  const int decimals = decimals_for(error);
  return "normal(" + fixed_text(one.value * factor, decimals) + " " + unit + ", " +
         fixed_text(error, decimals) + " " + unit + ")";
}

std::string name_in_section(const std::string& key) {
  return key.substr(key.find('.') + 1);
}

std::string volume_lines(const learn::ChangeoverFit& fit) {
  std::string text = "[line]\n";
  for (const Fitted& one : fit.volumes) {
    const std::string name = padded(name_in_section(one.key), 9);
    if (one.determined) {
      text += name + " = " + normal_text(one, 1.0, "L") + "\n";
    } else {
      text += comment(name_in_section(one.key) + ": not told, " + one.reason + " (the fit has " +
                      short_text(one.value, 3) + " L).");
    }
  }
  if (fit.stirred_sum) {
    text +=
        comment("reservoir and filter together: " + normal_text(*fit.stirred_sum, 1.0, "L") + ".");
  }
  return text;
}

std::string level_text(const Fitted& level) {
  return in_percent(level.value, 1) + " +- " + in_percent(level.standard_error);
}

Json learn_opening(const std::string& what, const std::string& source, double elapsed_s) {
  Json object = Json::object();
  object["command"] = "learn";
  object["title"] = source;
  object["version"] = k_version;
  object["method"] = what;
  put(object, "elapsed_s", elapsed_s);
  return object;
}

Json set_json(const TestSet& set) {
  Json object = Json::object();
  object["tests"] = set.contents.size();
  put(object, "mean", set.mean);
  put(object, "lowest", set.lowest);
  put(object, "highest", set.highest);
  if (!set.has_law()) {
    for (const char* key : {"standard_deviation", "content"}) {
      put_null(object, key, "too few tests that differ");
    }
    return object;
  }
  put(object, "standard_deviation", set.sd);
  const StudentLaw law = next_delivery(set);
  put(object["next_delivery"], "center", law.center);
  put(object["next_delivery"], "scale", law.scale);
  put(object["next_delivery"], "dof", law.dof);
  object["content"] = law_text(law);
  object["content_of_the_same_fuel"] = tests_law(set);
  return object;
}

Json fitted_json(const Fitted& one) {
  Json object = Json::object();
  if (!one.key.empty()) object["key"] = one.key;
  put(object, "value", one.value);
  put(object, "standard_error", one.standard_error);
  object["interval_95"] = Json::array({number(one.interval_95[0]), number(one.interval_95[1])});
  object["determined"] = one.determined;
  if (!one.determined) object["reason"] = one.reason;
  return object;
}

std::vector<std::string> test_notes(const learn::PumpTests& tests) {
  std::vector<std::string> notes{
      "Every test counts as a delivery of its own: where several tests are of one delivery, the "
      "law is too narrow."};
  if (tests.all.contents.size() < learn::k_few_tests) {
    notes.emplace_back(
        "Few tests say little about the spread: the law has heavy tails, and small "
        "chances will rest on them.");
  }
  if (tests.groups_alike && *tests.groups_alike < 0.05) {
    notes.push_back("The groups differ by more than chance (analysis of variance, " +
                    short_text(100.0 * *tests.groups_alike, 2) +
                    " %): the law of the group you fill from says more than that of all.");
  }
  return notes;
}

std::vector<std::string> changeover_notes(const learn::ChangeoverFit& fit) {
  std::vector<std::string> notes = fit.notes;
  if (fit.rate_logged) {
    notes.emplace_back(
        "The logged rates are taken as exact: noise in them is not in the errors of the volumes, "
        "and makes their intervals too narrow.");
  }
  return notes;
}

}  // namespace

std::string pump_tests_text(const learn::PumpTests& tests, const std::string& source) {
  const TestSet& all = tests.all;
  const auto [low, high] = learn::middle_95(next_delivery(all));
  std::string text = comment("From " + cleaned(source) + ": " + summary(all) +
                             ". The next delivery lies between " + in_percent(low, 1) + " and " +
                             in_percent(high, 1) + " with a chance of 95 %.");
  for (const std::string& note : test_notes(tests)) text += comment(note);
  text += "\n[fuel]\ncontent = " + law_text(next_delivery(all)) + "\n";
  text += "\n" + comment(
                     "Only if all these tests are of the very fuel that will be pumped, what is "
                     "not known is their mean, and in place of the above:");
  text += "# content = " + tests_law(all) + "\n";
  if (!tests.groups.empty()) {
    text += "#\n# By group, to put in its place:\n";
    for (const TestSet& set : tests.groups) text += group_lines(set);
  }
  text += "#\n" + comment(
                      "Law of one further delivery from n tests: t with n - 1 degrees of freedom "
                      "about their mean, scale s sqrt(1 + 1/n), as if normal (prediction "
                      "interval, ISO 16269-8, from memory).");
  return text + cautions();
}

std::string pump_tests_json(const learn::PumpTests& tests, const std::string& source,
                            double elapsed_s) {
  Json object = learn_opening("pump tests", source, elapsed_s);
  object["all"] = set_json(tests.all);
  Json groups = Json::array();
  for (const TestSet& set : tests.groups) {
    Json one = set_json(set);
    one["group"] = set.group;
    groups.push_back(std::move(one));
  }
  object["groups"] = std::move(groups);
  put(object, "groups_alike", tests.groups_alike, "there are not two groups to compare");
  object["notes"] = test_notes(tests);
  return closed(std::move(object));
}

std::string changeover_text(const learn::ChangeoverFit& fit, const std::string& source) {
  std::string text = comment("From " + cleaned(source) + ": " + std::to_string(fit.rows) +
                             " readings of a change from " + level_text(fit.before) + " to " +
                             level_text(fit.after) + " as the sensor shows them.");
  text += "\n" + volume_lines(fit);
  if (fit.idle) text += "\n[engine]\nidle = " + normal_text(*fit.idle, 3600.0, "L/h") + "\n";
  text += "\n";
  for (const std::string& note : changeover_notes(fit)) text += comment("- " + note);
  text += comment("- The readings scatter about the fit by " + in_percent(fit.residual_sd) +
                  (fit.expected_sd > 0.0 ? ", where the scenario's noise and rounding make " +
                                               in_percent(fit.expected_sd)
                                         : std::string()) +
                  ".");
  text += "#\n" + comment(
                      "Least squares by Levenberg and Marquardt; the second number of each law is "
                      "the standard error.");
  return text + cautions();
}

std::string changeover_json(const learn::ChangeoverFit& fit, const std::string& source,
                            double elapsed_s) {
  Json object = learn_opening("least squares", source, elapsed_s);
  object["rows"] = fit.rows;
  object["bins"] = fit.bins;
  object["rate_logged"] = fit.rate_logged;
  Json volumes = Json::array();
  for (const Fitted& one : fit.volumes) volumes.push_back(fitted_json(one));
  object["line"] = std::move(volumes);
  if (fit.stirred_sum) {
    object["stirred_sum"] = fitted_json(*fit.stirred_sum);
  } else {
    put_null(object, "stirred_sum", "no two stirred volumes that cannot be told apart");
  }
  if (fit.idle) {
    object["idle"] = fitted_json(*fit.idle);
  } else {
    put_null(object, "idle", "no idle rate was logged");
  }
  object["before"] = fitted_json(fit.before);
  object["after"] = fitted_json(fit.after);
  put(object, "residual_sd", fit.residual_sd);
  put(object, "expected_sd", fit.expected_sd);
  put(object, "correlation_length", fit.correlation_length);
  put(object, "last_share", fit.last_share);
  object["notes"] = changeover_notes(fit);
  return closed(std::move(object));
}

}  // namespace blendrisk::report
