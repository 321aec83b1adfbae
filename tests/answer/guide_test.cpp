#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>

#include "answer/plain_text.hpp"
#include "answer/shared.hpp"
#include "render/page.hpp"
#include "tests/answer/told.hpp"
#include "tests/random_plans.hpp"
#include "tests/scenarios.hpp"

// What the customer's guide and `fill` say, held against the numbers of the same answers.
namespace blendrisk::answer {
namespace {

using testing::scenario_of;

constexpr UnitSystem k_units = UnitSystem::metric;

std::size_t count(const std::string& text, std::string_view part) {
  std::size_t found = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

/// A plan with all that is said of it.
struct Said {
  scenario::Scenario scenario;
  decide::Guide guide;
  std::string page;   ///< as it is
  std::string words;  ///< of the page, without markup, up to the assumptions
  std::string fill;   ///< text of `fill`
  std::map<std::string, Json> json_of;

  bool says(std::string_view part) const { return words.find(part) != std::string::npos; }
  bool fill_says(std::string_view part) const { return fill.find(part) != std::string::npos; }
};

std::string without_markup(const std::string& page) {
  static const std::regex mark("<[^>]*>");
  static const std::regex before_mark(R"( ([.,;:]))");
  std::string text = std::regex_replace(page, mark, "");
  for (const auto& [entity, character] : {std::pair("&ldquo;", "\""), {"&rdquo;", "\""}}) {
    text = std::regex_replace(text, std::regex(entity), character);
  }
  return cleaned(std::regex_replace(cleaned(text), before_mark, "$1"));
}

Said said_of(const std::string& text, const std::vector<scenario::Override>& overrides = {}) {
  Said said;
  said.scenario = scenario_of(text, overrides);
  estimate::Options options;
  // Chances of a curve that nothing is decided by need no more.
  options.cases = std::uint64_t{1} << 14U;
  said.guide = decide::make_guide(
      said.scenario, options, {dispenser_step(k_units), gauge_step(k_units), burn_step(k_units)});
  const decide::Guide& guide = said.guide;
  GuideSources sources;
  sources.scenario_text = text;
  const Asked asked{said.scenario, options, k_units};
  said.page = render::page(page(asked, guide, sources, {}), k_units);
  const std::string body = said.page.substr(said.page.find("<main>"));
  said.words = without_markup(body.substr(0, body.find("<section aria-labelledby=\"assumed\">")));
  said.fill = cleaned(testing::text_of(said.scenario, guide.fill, options, k_units));
  said.json_of["chance"] = Json::parse(testing::json_of(said.scenario, guide.chance, options, 0.0));
  said.json_of["fill"] = Json::parse(testing::json_of(said.scenario, guide.fill, options, 0.0));
  said.json_of["heel"] = Json::parse(testing::json_of(said.scenario, guide.heel, options, 0.0));
  if (guide.arrive) {
    said.json_of["arrive"] =
        Json::parse(testing::json_of(said.scenario, *guide.arrive, options, 0.0));
  }
  return said;
}

// Every number of the page is that of the command it names; cells are the table's.
void expect_numbers_are_the_answers(const Said& said) {
  static const std::regex number(R"re(<data[^>]*data-source="([^"]*)" value="([^"]*)")re");
  std::size_t cells = 0;
  for (std::sregex_iterator at(said.page.begin(), said.page.end(), number), end; at != end; ++at) {
    const std::string source = (*at)[1];
    const double value = std::stod((*at)[2]);
    const auto slash = source.find('/');
    const std::string command = source.substr(0, slash);
    if (command != "table") {
      EXPECT_EQ(said.json_of.at(command).at(Json::json_pointer(source.substr(slash))), Json(value))
          << source;
      continue;
    }
    const decide::Cell& cell = said.guide.table.cells.at(std::stoul(source.substr(slash + 1)));
    const bool largest = source.ends_with("/largest_amount");
    EXPECT_EQ(largest ? cell.other_end_l : cell.litres, value) << source;
    ++cells;
  }
  std::size_t wanted = 0;
  for (const decide::Cell& cell : said.guide.table.cells) {
    wanted += (cell.litres ? 1U : 0U) + (cell.other_end_l ? 1U : 0U);
  }
  EXPECT_EQ(cells, wanted);
}

void expect_no_reading_runs_dry(const Said& said) {
  const decide::HeelResult& heel = said.guide.heel;
  if (!heel.lowest_indicated_l) {
    EXPECT_TRUE(said.guide.table.readings_l.empty());
  }
  const auto from = said.page.find("<table class=\"amounts\">");
  if (from == std::string::npos) return;
  const std::string table = said.page.substr(from, said.page.find("</table>", from) - from);
  static const std::regex row(R"re(<th scope="row">([0-9.]+) L</th>)re");
  std::size_t rows = 0;
  for (std::sregex_iterator at(table.begin(), table.end(), row), end; at != end; ++at, ++rows) {
    EXPECT_GE(std::stod((*at)[1]), *heel.lowest_indicated_l);
  }
  EXPECT_EQ(rows, said.guide.table.readings_l.size());
}

/// Readings that a step tells are within what `heel` computed, on the right side of each other.
void expect_readings_agree(const Said& said) {
  const decide::HeelResult& heel = said.guide.heel;
  static const std::regex range(
      R"(as the gauge shows it: (?:([0-9.]+) L to|up to) ([0-9.]+) L will)");
  std::smatch found;
  if (std::regex_search(said.words, found, range)) {
    ASSERT_TRUE(heel.window);
    const double planned = said.scenario.heel.indicated_l;
    const double low = found[1].matched ? std::stod(found[1]) : 0.0;
    EXPECT_GE(low, *heel.lowest_indicated_l);
    EXPECT_LE(low, planned);
    EXPECT_GE(std::stod(found[2]), planned);
  }
  static const std::regex less(R"(or less[^.]*below ([0-9.]+) L)");
  for (std::sregex_iterator at(said.words.begin(), said.words.end(), less), end; at != end; ++at) {
    // Only where the two do not meet, as is said then.
    EXPECT_FALSE(heel.window) << at->str();
  }
  EXPECT_EQ(
      count(said.words, "it runs dry too often. Running dry stalls the engine"),
      said.guide.works && said.scenario.tank.pickup_floor_l > 0.0 && *heel.lowest_indicated_l > 0.0
          ? 1U
          : 0U);
}

void expect_steps_or_ways(const Said& said) {
  const decide::Guide& guide = said.guide;
  const estimate::ChanceResult& chance = guide.chance;
  EXPECT_EQ(said.page.find("<ol class=\"steps\">") != std::string::npos, guide.works);
  EXPECT_EQ(said.says("Do not switch under this plan."), !guide.works);
  EXPECT_EQ(said.says("more than the accepted risk."), !chance.met);
  EXPECT_EQ(said.says("more than the dry risk. Running dry stalls the engine"), !chance.dry_met);
  EXPECT_EQ(said.says("the tank runs dry too often, whatever the amount"), !chance.dry_met);
  const bool some = said.says("What does in its place");
  const bool none = said.says("Nothing that was tried does");
  EXPECT_EQ(some || none, !chance.met || !chance.dry_met);
  EXPECT_FALSE(some && none);
  if (none) {
    EXPECT_FALSE(guide.heel.window);
    EXPECT_FALSE(chance.dry_met && guide.fill.safe_amount_l);
    EXPECT_FALSE(said.says("unless the pump tests at"));
  }
  // No way from a reading that runs dry.
  if (!chance.dry_met) {
    EXPECT_FALSE(said.says("indicated put in"));
    EXPECT_FALSE(said.says("it takes "));
    EXPECT_FALSE(said.says("Two fills: fill until"));
  }
  const bool waits = guide.works && guide.arrive && !guide.arrive->wait_for.nothing_to_wait_for();
  EXPECT_EQ(said.says("The waiting above"), waits);
  const bool rows = waits && !guide.arrive->waiting.rows.empty();
  EXPECT_EQ(said.says("Wait for a row of the table below:"), rows);
  if (!rows) return;
  const auto told = [](double share) {
    return share >= 0.99 ? std::string("more than 99") : shown(number(100.0 * share, 2), k_units);
  };
  const decide::WaitingTable& table = guide.arrive->waiting;
  EXPECT_TRUE(said.says("Followed so, " + told(table.triggers) + " of 100 changes come to switch"));
  for (const decide::WaitingRow& row : table.rows) {
    EXPECT_TRUE(said.says(shown(content(row.reading), k_units) + told(row.shown_by_then)))
        << row.burn_l;
  }
}

/// A plan that clearly works is one that the amounts allow, and the other way round.
void expect_amounts_agree(const Said& said) {
  const decide::Guide& guide = said.guide;
  const decide::FillResult& fill = guide.fill;
  if (guide.chance.met && guide.chance.clearly) {
    EXPECT_TRUE(fill.safe_amount_l);
  }
  if (!guide.chance.dry_met) return;
  EXPECT_EQ(said.says("indicated no amount does"), !fill.safe_amount_l);
  if (said.says("unless the pump tests at")) {
    EXPECT_FALSE(distributions::is_exact(said.scenario.fills.back().content));
  }
  if (!fill.safe_amount_l) return;
  if (fill.largest_amount_l) {
    const std::string both = shown(amounts(*fill.safe_amount_l, fill.largest_amount_l), k_units);
    EXPECT_TRUE(said.says(both)) << both;
  }
  const auto& planned = said.scenario.fills.front().amount_l;
  if (planned && guide.chance.clearly) {
    const bool allowed =
        *planned >= *fill.safe_amount_l && *planned <= fill.largest_amount_l.value_or(1e9);
    EXPECT_TRUE(guide.chance.met == allowed || fill.again_from_l);
  }
}

void expect_fill_agrees(const Said& said) {
  const Json& answer = said.json_of.at("fill");
  const bool met = answer.at("met");
  EXPECT_EQ(said.fill_says("NO AMOUNT WILL DO"), !met);
  const std::string far = "it is far from enough.";
  if (!met) {
    const Json& instead = answer.at("instead");
    const std::size_t ways =
        count(said.fill, "- Run the tank down to ") + count(said.fill, "- Two fills: ") +
        count(said.fill, "- Test the pump") + count(said.fill, "- Accept a risk of ");
    EXPECT_EQ(said.fill_says(far), ways == 0);
    EXPECT_EQ(said.fill_says("- Two fills: "), !instead.at("second_indicated").is_null());
    EXPECT_EQ(said.fill_says("- Test the pump"), !instead.at("tested_content").is_null());
    if (said.fill_says("more than the dry risk")) {
      EXPECT_TRUE(said.fill_says("Running dry stalls the engine"));
      EXPECT_GT(instead.at("dry_risk_at_highest").get<double>(), said.scenario.limits.dry_risk);
    }
    return;
  }
  EXPECT_FALSE(said.fill_says(far));
  const double least = answer.at("safe_amount");
  if (least > 0.0) {
    const auto largest = answer.at("largest_amount").is_null()
                             ? std::optional<double>()
                             : answer.at("largest_amount").get<double>();
    EXPECT_TRUE(said.fill_says("PUT IN " + shown(amounts(least, largest), k_units) +
                               " as the dispenser shows it"));
  }
  EXPECT_EQ(said.fill_says("RUNS DRY TOO OFTEN"), !said.guide.chance.dry_met);
}

void expect_no_contradiction(const Said& said) {
  for (const std::string& text : {said.words, said.fill}) {
    static const std::regex negative(R"(-[0-9.]+ (L|gal) (more|less))");
    EXPECT_FALSE(std::regex_search(text, negative)) << text;
  }
  for (const char* never :
       {"run the tank down further", "may draw air", "as the gauge shows it or less"}) {
    EXPECT_FALSE(said.says(never)) << never;
  }
  expect_numbers_are_the_answers(said);
  expect_no_reading_runs_dry(said);
  expect_readings_agree(said);
  expect_steps_or_ways(said);
  expect_amounts_agree(said);
  expect_fill_agrees(said);
}

/// A part of the campaign of 100, or as many as BLENDRISK_PLANS asks for.
int plans_wanted() {
  const char* wanted = std::getenv("BLENDRISK_PLANS");
  return wanted != nullptr ? std::atoi(wanted) : 24;
}

TEST(Guide, NothingItSaysContradictsItsNumbersSlow) {
  testing::RandomPlans plans(7);
  const int count = plans_wanted();
  int works = 0;
  int dry = 0;
  int both_ends = 0;
  int ways = 0;
  int exact = 0;
  for (int i = 0; i < count; ++i) {
    const auto limits = std::array{testing::Limits::minimum, testing::Limits::maximum,
                                   testing::Limits::both}[static_cast<std::size_t>(i % 3)];
    const std::string text = plans.next(limits);
    SCOPED_TRACE(text);
    const Said said = said_of(text);
    expect_no_contradiction(said);
    if (::testing::Test::HasFailure()) ADD_FAILURE() << said.words << "\n" << said.fill;
    works += said.guide.works;
    dry += !said.guide.chance.dry_met;
    both_ends += said.guide.fill.largest_amount_l.has_value();
    ways += said.says("What does in its place");
    exact += distributions::is_exact(said.scenario.fills.back().content);
    if (::testing::Test::HasFailure()) break;
  }
  // Plans of every kind.
  EXPECT_GE(works, std::max(1, 12 * count / 200));
  EXPECT_GE(dry, std::max(1, 6 * count / 200));
  EXPECT_GE(both_ends, std::max(1, 12 * count / 200));
  EXPECT_GE(ways, std::max(1, 12 * count / 200));
  EXPECT_GE(exact, std::max(1, 3 * count / 200));
}

const std::string k_car =
    "title = Invented car\n[tank]\ncapacity = 55 L\npickup-floor = 2 L\n"
    "[heel]\nindicated = 6 L\ngauge-error = normal(0 L, 0.8 L)\ncontent = uniform(5 %, 10 %)\n"
    "[fuel]\ncontent = normal(78 %, 1 %)\n";

TEST(Guide, APlanThatRunsDrySaysSoAndNoWayBeginsThere) {
  const Said said = said_of(k_car + "[fill]\namount = 40 L\n[limits]\nminimum = 60 %\n",
                            {{"heel.indicated", "3 L"}});
  expect_no_contradiction(said);
  EXPECT_FALSE(said.guide.works);
  EXPECT_TRUE(said.says("an electric pump in the tank is cooled by its fuel and may be damaged."));
  EXPECT_TRUE(said.says("indicated or less, but not less than 3.9 L, and fill until the nozzle"))
      << said.words;
  EXPECT_FALSE(said.says("The waiting above"));
}

TEST(Guide, AMaximumThatBindsIsToldInTheStepsAndTheTable) {
  const Said said =
      said_of(k_car + "[fill]\namount = 27 L\n[limits]\nminimum = 60 %\nmaximum = 70 %\n");
  expect_no_contradiction(said);
  EXPECT_TRUE(said.guide.works);
  ASSERT_TRUE(said.guide.fill.largest_amount_l);
  EXPECT_TRUE(said.says("neither less nor more")) << said.words;
  EXPECT_TRUE(said.says("Where there are two numbers, no more than the second"));
  EXPECT_TRUE(said.says("At least, or least to largest, in L"));
  EXPECT_TRUE(said.says("put in what both ends of what it may mean allow"));
}

TEST(Guide, WhereNothingWouldDoItSaysSo) {
  const Said said = said_of(k_car + "[limits]\nminimum = 60 %\n", {{"fuel.content", "50 %"}});
  expect_no_contradiction(said);
  EXPECT_TRUE(said.says("Nothing that was tried does in its place")) << said.words;
  EXPECT_TRUE(said.says("From 6.0 L indicated no amount does."));
}

TEST(Guide, TheWayBackHasAnUpperEndOfATest) {
  const Said said = said_of(
      "title = Invented car\n[tank]\ncapacity = 55 L\n[heel]\nindicated = 8 L\n"
      "content = 75 %\ngauge-error = normal(0 L, 0.5 L)\n[fuel]\ncontent = uniform(5 %, 10 %)\n"
      "[limits]\nmaximum = 30 %\n");
  expect_no_contradiction(said);
  EXPECT_TRUE(said.guide.works);
  EXPECT_TRUE(said.says("use the upper end of what it may mean")) << said.words;
  EXPECT_TRUE(said.says("as the gauge shows it: up to ")) << said.words;
  EXPECT_TRUE(said.says("the plan gives no pickup floor"));
}

}  // namespace
}  // namespace blendrisk::answer
