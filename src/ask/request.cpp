#include "ask/request.hpp"

#include <new>
#include <utility>

#include "answer/live.hpp"
#include "answer/reasons.hpp"
#include "answer/words.hpp"
#include "ask/guide.hpp"
#include "ask/rail_pictures.hpp"
#include "ask/readings.hpp"
#include "decide/arrive.hpp"
#include "decide/fill.hpp"
#include "decide/heel.hpp"
#include "line/sensor_posterior.hpp"
#include "render/page.hpp"
#include "render/svg.hpp"
#include "render/text.hpp"
#include "scenario/read.hpp"
#include "tank/between_fills.hpp"
#include "tank/chance.hpp"
#include "tank/landed_profile.hpp"
#include "text/quoting.hpp"

namespace blendrisk::ask {
namespace {

using answer::Json;
using text::Error;

/// A request as far as it is read.
struct Request {
  std::string command;
  scenario::Source source;
  std::vector<scenario::Override> given;
  Json files = Json::object();
  std::vector<std::string> readings;
  bool text = false;
  std::string date, language;
  answer::UnitSystem units = answer::UnitSystem::metric;
  estimate::Options options{.threads = 1, .decision_serves = true};
};

Request read(std::string_view text) {
  const Json json = Json::parse(text);
  Request request;
  request.command = json.at("command").get<std::string>();
  request.source = {json.value("name", ""), json.at("scenario").get<std::string>()};
  for (const Json& pair : json.value("given", Json::array())) {
    request.given.push_back({pair.at(0).get<std::string>(), pair.at(1).get<std::string>()});
  }
  request.files = json.value("files", Json::object());
  for (const Json& one : json.value("readings", Json::array())) {
    request.readings.push_back(one.get<std::string>());
  }
  request.text = json.value("text", false);
  request.date = json.value("date", "");
  request.language = json.value("language", "");
  if (json.value("units", "metric") == "us") request.units = answer::UnitSystem::us;
  request.options.seed = json.value("seed", request.options.seed);
  if (json.contains("precision")) {
    request.options.precision = json.at("precision").get<double>();
    request.options.decision_serves = false;
  }
  if (json.value("method", "") == "crude") request.options.method = estimate::Method::crude;
  if (json.contains("cases")) request.options.cases = json.at("cases").get<std::uint64_t>();
  return request;
}

scenario::Scenario scenario_of(const Request& request) {
  return scenario::read(request.source, request.given, [&](const std::string& path) {
    if (!request.files.contains(path)) {
      throw Error("is not part of the page", "a CSV file is accepted", {path});
    }
    return request.files.at(path).get<std::string>();
  });
}

/// The answer, what the page shows of it, and where asked for all of it as text.
template <class Result>
Json told(const Request& request, const answer::Asked& asked, const Result& result, bool met) {
  Json json{{"answer", members(asked, result)},
            {"met", met},
            {"done", asked.scenario.fills.back().shown_l.has_value()},
            {"line", line::has_volume(asked.scenario.line)},
            {"shows", render::blocks(answer::live(asked, result), asked.units)}};
  if (request.text) json["text"] = render::text(described(asked, result), asked.units);
  return json;
}

/// With its picture where asked for: {"picture", "alt"}.
void draw(const Request& request, Json& json, const auto& figure) {
  if (!request.text) return;
  answer::Figure drawn = figure();
  drawn.compact = true;
  json["picture"] = render::svg(drawn);
  json["alt"] = drawn.alt;
}

Json updated(const Request& request, const answer::Asked& asked) {
  const text::Place place{"--reading"};
  if (request.readings.empty()) throw Error("has none", "0.3 L: 57 % is accepted", place);
  line::Follow follow(asked.scenario, asked.options);
  std::vector<line::Reading> all;
  for (const std::string& text : request.readings) {
    all.push_back(text::at(place, [&] { return taken(follow, scenario::parse_reading(text)); }));
  }
  try {
    follow.add(all);
    const line::Posterior result = follow.posterior();
    return told(request, asked, answer::Updated{result}, result.met);
  } catch (const line::NoPosterior& error) {
    throw Error(answer::reason(error), {}, {request.source.name});
  }
}

Json answer_of(const Request& request) {
  const answer::Speaking speaking(request.language);
  const scenario::Scenario scenario = scenario_of(request);
  const answer::Asked asked{scenario, request.options, request.units};
  if (request.command == "chance") {
    estimate::ChanceResult result = tank::with_between_fills(scenario, request.options, [&] {
      return tank::estimate_chance(scenario, request.options);
    });
    Json json = told(request, asked, result, result.met);
    json["legs"] = render::blocks(answer::live_legs(asked, result), asked.units);
    draw(request, json, [&] {
      const sampling::CaseInputs inputs(scenario);
      const auto [low, high] = answer::landed_range(scenario, result.landed);
      return answer::landed_figure(
          scenario, result, tank::landed_profile(inputs, request.options.seed, low, high, 240));
    });
    return json;
  }
  if (request.command == "fill") {
    const decide::FillResult result = tank::with_between_fills(scenario, request.options, [&] {
      return decide::solve_fill(scenario, request.options, answer::dispenser_step(request.units),
                                answer::gauge_step(request.units));
    });
    return told(request, asked, result, result.safe_amount_l.has_value());
  }
  if (request.command == "heel") {
    const auto result =
        decide::solve_heel(scenario, request.options, answer::gauge_step(request.units));
    Json json{{"answer", members(asked, result)}, {"met", result.window.has_value()}};
    if (request.text) json["text"] = render::text(described(asked, result), asked.units);
    return json;
  }
  if (request.command == "arrive") {
    const auto result =
        decide::solve_arrive(scenario, request.options, answer::burn_step(request.units));
    Json json = told(request, asked, result, result.met);
    draw(request, json,
         [&] { return waiting_picture(scenario, result, request.options, request.units); });
    return json;
  }
  if (request.command == "guide") {
    const answer::Page page =
        guide_page(asked, {request.source.name, request.source.text, request.date, request.given});
    return {{"sections", render::sections(page.sections, request.units)}};
  }
  if (request.command == "scenario") return {{"text", answer::scenario_text(scenario)}};
  if (request.command == "update") return updated(request, asked);
  throw Error("unknown command " + text::in_quotes(request.command));
}

Json failed(std::string_view what, const std::string& about) {
  return {{"error", text::escaped(what)}, {"key", about}};
}

/// The key or, of an option, its name.
Json failed(const Error& error) {
  const std::string& source = error.place.source;
  return failed(error.what(), !error.place.key.empty()   ? error.place.key
                              : source.starts_with("--") ? source.substr(2)
                                                         : "");
}

Json told_or_failed(std::string_view text) {
  Request request;
  try {
    request = read(text);
    return answer_of(request);
  } catch (const estimate::ImpossibleScenario& error) {
    return failed(Error(answer::reason(error), {}, {request.source.name}));
  } catch (const Error& error) {
    return failed(error);
  } catch (const std::bad_alloc&) {
    return failed("could not finish: out of memory", "");
  } catch (const std::exception& error) {
    return failed(error.what(), "");
  }
}

}  // namespace

std::string answered(std::string_view request) {
  Json json = told_or_failed(request);
  if (json.contains("answer")) json["answer"]["cautions"] = answer::cautions();
  return json.dump(-1, ' ', true, Json::error_handler_t::replace);
}

}  // namespace blendrisk::ask
