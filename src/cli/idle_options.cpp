#include "cli/idle_options.hpp"

#include <array>

#include "cli/output.hpp"
#include "decide/arrive.hpp"
#include "estimate/replicates.hpp"

namespace blendrisk::cli {
namespace {

using decide::CurveShow;
using decide::Show;

/// What is asked for, as far as options are heeded by it or not.
struct Request {
  const std::string& command;
  const Arguments& arguments;

  bool is(std::string_view name) const { return command == name; }
  CurveShow curve() const { return arguments.curve_show.value_or(CurveShow::chance); }
  bool picture() const { return picture_format(arguments.output).has_value(); }
  bool data() const { return arguments.output.ends_with(".csv"); }

  /// Solves for amounts or readings alone.
  bool solves() const {
    return is("fill") || is("heel") || (is("table") && arguments.show != Show::chance) ||
           (is("curve") && curve() == CurveShow::amount);
  }
  bool shows_chances() const {
    return curve() == CurveShow::chance || curve() == CurveShow::arrival;
  }
  /// The answer has no text and nothing that is rounded to what a display shows.
  bool only_si() const {
    if (is("chance") || is("update")) return arguments.json;
    if (is("table")) return !solves() && (arguments.json || data());
    return is("curve") && !solves() && arguments.json && !picture();
  }
};

struct Idle {
  const char* option;
  bool (*is_idle)(const Request&);
  const char* why;
};

constexpr const char* k_chances_alone =
    "does nothing where amounts or readings are solved for; chance, arrive, drivers and guide, and "
    "table and curve with --show chance, heed it";

constexpr auto k_idle = std::to_array<Idle>({
    {"method", [](const Request& request) { return request.solves(); }, k_chances_alone},
    {"cases", [](const Request& request) { return request.solves(); }, k_chances_alone},
    {"method",
     [](const Request& request) {
       return request.is("curve") && request.curve() != CurveShow::chance;
     },
     "does nothing to this curve, which is computed on points; curve --show chance heeds it"},
    {"cases",
     [](const Request& request) {
       return request.is("curve") && request.curve() == CurveShow::landed;
     },
     "does nothing to landed contents, which have points of their own; curve --show chance or "
     "arrival heeds it"},
    {"precision",
     [](const Request& request) {
       return request.is("curve") && request.curve() == CurveShow::landed;
     },
     "does nothing to landed contents, which have points of their own; curve --show chance, "
     "arrival "
     "or amount heeds it"},
    {"precision",
     [](const Request& request) {
       return request.solves() &&
              request.arguments.options.precision > estimate::Options{}.precision;
     },
     "does nothing above 1 % where amounts or readings are solved for, which are confirmed to that "
     "at least; 1 % or less is accepted"},
    {"cases",
     [](const Request& request) {
       return request.is("arrive") && request.arguments.options.method == estimate::Method::plain &&
              *request.arguments.options.cases > decide::k_most_followed;
     },
     "is more than arrive --method plain follows, which holds all of them in memory; at most "
     "1000000 is accepted"},
    {"cases",
     [](const Request& request) {
       const estimate::Options& options = request.arguments.options;
       return options.method == estimate::Method::conditional &&
              *options.cases > estimate::k_largest_round;
     },
     "is more than the conditional method uses; at most 134217728, or --method plain, is accepted"},
    {"units", [](const Request& request) { return request.only_si(); },
     "does nothing to numbers for programs, which are in litres and fractions; a text answer or a "
     "picture heeds it"},
    {"scale", [](const Request& request) { return !request.picture() || !request.shows_chances(); },
     "does nothing without a picture of chances; --output FILE.svg, .png or .pdf, with --show "
     "chance or arrival, heeds it"},
    {"group", [](const Request& request) { return request.arguments.pump_tests.empty(); },
     "goes with --pump-tests"},
    {"part", [](const Request& request) { return !request.data(); },
     "needs --output FILE.csv, which --join puts together"},
    {"json", [](const Request& request) { return request.arguments.part.has_value(); },
     "does nothing beside --part, which is for a .csv to join; a whole table has it"},
});

/// Joining computes nothing.
void refuse_beside_join(const Arguments& arguments) {
  const auto refuse = [](const std::string& name) {
    throw UsageError("--" + name +
                     ": does nothing beside --join, which puts files together; --output alone is "
                     "accepted there");
  };
  for (const std::string& name : arguments.given) {
    if (name != "join" && name != "output") refuse(name);
  }
  if (!arguments.overrides.empty()) refuse(arguments.overrides.front().key);
}

}  // namespace

void refuse_idle_options(const std::string& command, const Arguments& arguments) {
  if (arguments.join) return refuse_beside_join(arguments);
  const Request request{command, arguments};
  for (const Idle& idle : k_idle) {
    if (arguments.given.contains(idle.option) && idle.is_idle(request)) {
      throw UsageError("--" + std::string(idle.option) + ": " + idle.why);
    }
  }
  if (!arguments.pump_tests.empty() && !arguments.overrides.empty()) {
    throw UsageError("--" + arguments.overrides.front().key +
                     ": does nothing beside --pump-tests, which takes no scenario; --changeover "
                     "heeds it");
  }
}

}  // namespace blendrisk::cli
