#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/cli/temporary_files.hpp"

// policy as a user calls it. Cars and pumps are invented.
namespace blendrisk::cli::policy_command_test {
namespace {

using nlohmann::json;
using testing::answer_of;
using testing::contents;
using testing::expect_refused;
using testing::text_of;

constexpr const char* k_van =
    "title = Invented van\n[tank]\ncapacity = 60 L\n[heel]\nindicated = 5 L\ncontent = 10 %\n"
    "gauge-error = normal(0 L, 0.6 L)\n[limits]\nminimum = 65 %\n";
constexpr const char* k_wagon =
    "title = Invented wagon\n[tank]\ncapacity = 50 L\n[heel]\nindicated = 4 L\ncontent = 10 %\n"
    "gauge-error = normal(0 L, 0.4 L)\n[limits]\nminimum = 65 %\n";
constexpr const char* k_strong =
    "[fuel]\ntitle = Strong pump\ncontent = normal(82 %, 1.5 %)\nprice = 1.2 /L\n";
constexpr const char* k_weak =
    "[fuel]\ntitle = Weak pump\ncontent = normal(70 %, 2 %)\nprice = 1.1 /L\n";

class PolicyCommand : public ::testing::Test {
 protected:
  PolicyCommand() {
    for (const char* folder : {"cars", "pumps"}) {
      std::filesystem::create_directory(files.file(folder));
    }
    files.write("cars/van.ini", k_van);
    files.write("cars/wagon.ini", k_wagon);
    files.write("pumps/strong.ini", k_strong);
  }
  std::vector<std::string> called(const std::string& changes,
                                  const std::vector<std::string>& more = {}) const {
    std::vector<std::string> args{
        "policy",    "--cars", files.file("cars/*.ini"), "--pumps", files.file("pumps/*.ini"),
        "--changes", changes};
    args.insert(args.end(), more.begin(), more.end());
    return args;
  }
  testing::TemporaryDirectory files;
};

TEST_F(PolicyCommand, TellsAmountsYearsAndTheWall) {
  const json answer = answer_of(called("10"));
  EXPECT_EQ(answer.at("command"), "policy");
  EXPECT_EQ(answer.at("cars"), json::array({"Invented van", "Invented wagon"}));
  EXPECT_EQ(answer.at("pumps"), json::array({"Strong pump"}));
  EXPECT_EQ(answer.at("persistent"), json::array({"heel.gauge-error"}));
  ASSERT_EQ(answer.at("risks").size(), 10U);
  EXPECT_EQ(answer.at("wall").at("accepted_risk"), 0.01);
  EXPECT_TRUE(answer.at("within_year_risk").is_null());
  EXPECT_EQ(answer.at("within_year_risk_reason"), "no --year-risk was given");
  EXPECT_TRUE(answer.at("costs").is_null());
  for (const json& year : answer.at("risks")) {
    EXPECT_NEAR(year.at("misses").at("value").get<double>(),
                20.0 * year.at("accepted_risk").get<double>(),
                0.1 * 20.0 * year.at("accepted_risk").get<double>());
    EXPECT_LT(year.at("any_miss").at("value"), year.at("any_miss_independent").at("value"));
    EXPECT_GT(year.at("any_miss").at("value"), year.at("any_miss_once").at("value"));
    EXPECT_EQ(year.at("changes"), 20.0);
  }
  const std::string text = text_of(called("10"));
  EXPECT_NE(text.find("PRINT ON THE WALL: accept 1 % a change"), std::string::npos) << text;
  EXPECT_NE(text.find("Invented wagon"), std::string::npos);
  EXPECT_NE(text.find("A miss can cost more than money"), std::string::npos);
}

TEST_F(PolicyCommand, FillsWhatFillSays) {
  const json answer = answer_of(called("10"));
  files.write("van-strong.ini", std::string(k_van) + k_strong);
  const json fill = answer_of({"fill", files.file("van-strong.ini")});
  EXPECT_NEAR(answer.at("wall").at("places")[0].at("amount").get<double>(),
              fill.at("safe_amount").get<double>(), 0.021);
  EXPECT_NEAR(answer.at("wall").at("places")[0].at("margin").get<double>(),
              fill.at("margin").get<double>(), 0.021);
}

TEST_F(PolicyCommand, KeepsTheYearsRisk) {
  const json answer = answer_of(called("10", {"--year-risk", "5 %"}));
  EXPECT_LE(answer.at("within_year_risk").at("any_miss").at("value"), 0.05);
  EXPECT_EQ(answer.at("wall"), answer.at("within_year_risk"));
  const std::string text = text_of(called("10", {"--year-risk", "5 %"}));
  EXPECT_NE(text.find("keeps the chance of any"), std::string::npos);
  const std::string never = text_of(called("100000", {"--year-risk", "0.01 %"}));
  EXPECT_NE(never.find("NOT WITHIN 0.01 % A YEAR"), std::string::npos);
}

TEST_F(PolicyCommand, FindsWhereFuelAndMissesCostLeast) {
  const json answer = answer_of(called("10", {"--cost-of-miss", "900"}));
  const json& costs = answer.at("costs");
  EXPECT_EQ(answer.at("wall").at("accepted_risk"), costs.at("least").at("accepted_risk"));
  EXPECT_GT(costs.at("half").at("accepted_risk"), costs.at("twice").at("accepted_risk"));
  const double least = costs.at("extra_cost_at_least").get<double>() +
                       900.0 * costs.at("misses_at_least").get<double>();
  for (std::size_t i = 0; i < costs.at("accepted_risks").size(); ++i) {
    const double total =
        costs.at("extra_cost")[i].get<double>() + 900.0 * costs.at("misses")[i].get<double>();
    EXPECT_GE(total, 0.99 * least);
  }
}

TEST_F(PolicyCommand, APumpThatIsTooWeakIsToldInItsPlace) {
  files.write("pumps/weak.ini", k_weak);
  const json answer = answer_of(called("10"));
  const json& strict = answer.at("risks").back();
  EXPECT_TRUE(strict.at("places")[1].at("amount").is_null());
  EXPECT_EQ(strict.at("places")[1].at("amount_reason"), "no amount meets the accepted risk");
  EXPECT_EQ(strict.at("places_left_out"), 2);
  EXPECT_EQ(strict.at("changes_left_out"), 20.0);
  const std::string text = text_of(called("10", {"--year-risk", "0.5 %"}));
  EXPECT_NE(text.find("no amount does"), std::string::npos);
  EXPECT_NE(text.find("LEFT OUT: 20 changes at 2 places"), std::string::npos);
}

TEST_F(PolicyCommand, WhereNothingDoesThereIsNothingToPrint) {
  files.write("pumps/strong.ini", "[fuel]\ncontent = normal(64 %, 2 %)\nprice = 1 /L\n");
  const std::vector<std::string> wishes{"--year-risk", "5 %", "--cost-of-miss", "900"};
  EXPECT_NE(text_of(called("10", wishes)).find("NOTHING TO PRINT"), std::string::npos);
  const json answer = answer_of(called("10", wishes));
  EXPECT_TRUE(answer.at("within_year_risk").is_null());
  EXPECT_EQ(answer.at("within_year_risk_reason"), "no place has an amount at any accepted risk");
  EXPECT_TRUE(answer.at("costs").is_null());
}

TEST_F(PolicyCommand, ChangesComeFromAFile) {
  files.write("changes.csv", "car,pump,changes\nInvented van,strong,30\nwagon.ini,Strong pump,0\n");
  const json answer = answer_of(called(files.file("changes.csv")));
  ASSERT_EQ(answer.at("places").size(), 1U);
  EXPECT_EQ(answer.at("places")[0].at("changes"), 30.0);
  EXPECT_EQ(answer.at("risks")[0].at("cars")[1].at("misses").at("value"), 0.0);
}

TEST_F(PolicyCommand, WritesTheWallAndPictures) {
  text_of(called("10", {"--output", files.file("wall.csv")}));
  const std::string wall = contents(files.file("wall.csv"));
  EXPECT_NE(wall.find("car,pump,changes,accepted_risk,amount_l,margin_l,chance,standard_error\n"),
            std::string::npos)
      << wall;
  EXPECT_NE(wall.find("Invented van,Strong pump,10,0.01,"), std::string::npos);
}

TEST_F(PolicyCommand, RefusesInOneLine) {
  const auto refused = [&](const std::string& csv, const std::string& part) {
    files.write("changes.csv", csv);
    expect_refused(called(files.file("changes.csv")), part);
  };
  expect_refused({"policy"}, "policy: cars, pumps and changes are needed");
  expect_refused(called("0"), "--changes: '0' is no number of changes");
  expect_refused(called("2.5"), "--changes: '2.5' is no number of changes");
  expect_refused(called("-3"), "is no number of changes");
  expect_refused(called("nothing.csv"), "nothing.csv");
  refused("car,pump\nvan,strong\n", "has no column changes");
  refused("car,pump,changes\nlorry,strong,3\n", "the car 'lorry' is not among those given");
  refused("car,pump,changes\nvan,south,3\n", "the pump 'south' is not among those given");
  refused("car,pump,changes\nvan,strong,3\nvan,strong,4\n", "changes.csv:3");
  refused("car,pump,changes\nvan,strong,many\n", "'many' is no number of changes");
  refused("car,pump,changes\nvan,strong,0\n", "has no change at all");
  expect_refused(called("10", {"--year-risk", "5"}), "--year-risk");
  expect_refused(called("10", {"--year-risk", "100 %"}), "--year-risk");
  expect_refused(called("10", {"--cost-of-miss", "0"}), "--cost-of-miss: '0' is no cost");
  expect_refused(called("10", {"--cost-of-miss", "nan"}), "--cost-of-miss");
  expect_refused(called("10", {"--policy.persistent", "fuel.meter-error"}),
                 "fuel.meter-error is the pump's, shared by all its cars");
  expect_refused(called("10", {"--policy.persistent", "tank.capacity"}),
                 "'tank.capacity' is no uncertain input");
  files.write("pumps/free.ini", "[fuel]\ncontent = 80 %\n");
  expect_refused(called("10", {"--cost-of-miss", "900"}), "fuel.price: is not given");
  files.write("pumps/free.ini", "[fuel]\ncontent = 80 %\n[heel]\ngauge-error = 0 L\n");
  expect_refused(called("10"), "heel.gauge-error: is not what it is with");
}

}  // namespace
}  // namespace blendrisk::cli::policy_command_test
