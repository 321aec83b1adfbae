#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "answer/words.hpp"
#include "tests/cli/temporary_files.hpp"
#include "tests/source_dir.hpp"

// curve and drivers as a user calls them: what they show is what the commands say of each point.
namespace blendrisk::cli::curve_command_test {
namespace {

using nlohmann::json;
using testing::answer_of;
using testing::run_with;
using testing::TemporaryDirectory;
using testing::text_of;

const std::string k_examples = testing::source_dir() + "/examples/";
const std::string k_sedan = k_examples + "sedan.ini";
const std::string k_wagon = k_examples + "wagon-line.ini";

TEST(CurveCommand, ChancesAreThoseOfChance) {
  const json curve = answer_of({"curve", k_sedan, "--along", "heel.indicated=2:6:2L"});
  ASSERT_EQ(curve.at("points").size(), 3U);
  for (const json& point : curve.at("points")) {
    const std::string litres = std::to_string(point.at("value").get<double>()) + " L";
    const json chance = answer_of({"chance", k_sedan, "--heel.indicated", litres});
    EXPECT_EQ(point.at("estimate"), chance.at("outside"));
  }
}

// The sedan's tank holds 55 L.
TEST(CurveCommand, SharesOfTheTankAreVolumes) {
  const json shares = answer_of({"curve", k_sedan, "--along", "Heel.Indicated=10:30:10 % of tank"});
  const json litres = answer_of({"curve", k_sedan, "--along", "heel.indicated=5.5:16.5:5.5 l"});
  ASSERT_EQ(shares.at("points").size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    const json& share = shares.at("points")[i];
    EXPECT_NEAR(share.at("value").get<double>(), 5.5 * static_cast<double>(i + 1), 1e-12);
    EXPECT_NEAR(share.at("estimate").at("chance").get<double>(),
                litres.at("points")[i].at("estimate").at("chance").get<double>(), 1e-9);
  }
  const auto mixed = run_with({"curve", k_sedan, "--along", "heel.indicated=1/8 tank; 1/4 tank",
                               "--by", "tank.capacity=50 L; 60 L"});
  EXPECT_EQ(mixed.status, k_bad_input);
  EXPECT_NE(mixed.err.find("shares of the tank"), std::string::npos) << mixed.err;
}

// The crossing is a reading within the risk, and a little more is not.
TEST(CurveCommand, CrossingsAreWhereTheRiskIsMet) {
  const json curve = answer_of({"curve", k_sedan, "--along", "heel.indicated=2:6:2L"});
  ASSERT_EQ(curve.at("crossings").size(), 1U);
  const json& crossing = curve.at("crossings")[0];
  EXPECT_EQ(crossing.at("within"), "below");
  const double at = crossing.at("value").get<double>();
  const auto chance_at = [](double litres) {
    return answer_of({"chance", k_sedan, "--heel.indicated", std::to_string(litres) + " L"})
        .at("outside")
        .at("chance")
        .get<double>();
  };
  EXPECT_LE(chance_at(at), 0.01);
  EXPECT_GT(chance_at(at + 2.0 * 2.0 / 4096.0), 0.01);
}

TEST(CurveCommand, LandedContentsAreThoseOfChance) {
  const json curve =
      answer_of({"curve", k_sedan, "--along", "heel.indicated=4 L; 6 L", "--show", "landed"});
  const json chance = answer_of({"chance", k_sedan});  // 6 L
  EXPECT_EQ(curve.at("points")[1].at("landed"), chance.at("landed"));
  const std::string text =
      text_of({"curve", k_sedan, "--along", "heel.indicated=4 L; 6 L", "--show", "landed"});
  EXPECT_NE(text.find("6 L           66.8 % (95 %: 60.0 % to 73.9 %)"), std::string::npos) << text;
}

TEST(CurveCommand, AmountsAreThoseOfFill) {
  const std::vector<std::string> easier{"--limits.minimum", "60 %"};
  std::vector<std::string> args{"curve",  k_sedan, "--along", "heel.indicated=4 L; 8 L",
                                "--show", "amount"};
  args.insert(args.end(), easier.begin(), easier.end());
  const json curve = answer_of(args);
  const json fill = answer_of({"fill", k_sedan, "--heel.indicated", "4 L", easier[0], easier[1]});
  // A curve solves with fewer points than fill.
  EXPECT_NEAR(curve.at("points")[0].at("amount").get<double>(),
              fill.at("safe_amount").get<double>(), 0.05);
  EXPECT_TRUE(curve.at("points")[1].at("amount").is_null());
  EXPECT_TRUE(curve.at("points")[1].at("amount_reason").is_string());
}

// What the rail holds after no fuel at all is the old fuel; after a lot it is the tank's.
TEST(CurveCommand, ArrivalEndsAtTheTanksChance) {
  const auto arrival = [](const std::string& after) {
    return answer_of({"curve", k_wagon, "--along", "heel.indicated=8 L; 12 L", "--show", "arrival",
                      "--after", after});
  };
  EXPECT_EQ(arrival("0 L").at("points")[0].at("estimate").at("chance"), 1.0);
  const json late = arrival("50 L").at("points")[0].at("estimate");
  const json tank = answer_of({"chance", k_wagon, "--heel.indicated", "8 L"}).at("below_minimum");
  const double error =
      std::hypot(late.at("standard_error").get<double>(), tank.at("standard_error").get<double>());
  // A false alarm in a million; 50 L leave less than 1e-9 of a line of half a litre.
  EXPECT_NEAR(late.at("chance").get<double>(), tank.at("chance").get<double>(), 4.9 * error + 1e-6);
  const auto refused = run_with({"curve", k_sedan, "--along", "heel.indicated=8 L; 12 L", "--show",
                                 "arrival", "--after", "10 min", "--line.filter", "0.2 L"});
  EXPECT_NE(refused.status, k_answered);
  EXPECT_NE(refused.err.find("engine.idle"), std::string::npos) << refused.err;
}

std::vector<std::string> lines_of(const std::string& path) {
  std::ifstream file(path);
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) lines.push_back(line);
  return lines;
}

TEST(CurveCommand, DataHoldARowForEveryPointOfEveryCurve) {
  const TemporaryDirectory directory;
  for (const std::string show : {"chance", "amount", "landed"}) {
    const std::string path = directory.file(show + ".csv");
    text_of({"curve", k_sedan, "--along", "heel.indicated=2:6:1L", "--by",
             "fuel.content=74 %; 78 %; 80 %", "--show", show, "--output", path});
    const std::vector<std::string> lines = lines_of(path);
    ASSERT_EQ(lines.size(), 2U + 5U * 3U) << show;
    EXPECT_EQ(lines[0], "# " + std::string(answer::words("caution.short")));
    EXPECT_TRUE(lines[1].starts_with("heel.indicated,fuel.content,")) << lines[1];
  }
  const std::string path = directory.file("arrival.csv");
  text_of({"curve", k_wagon, "--along", "heel.indicated=2:6:1L", "--show", "arrival", "--after",
           "0.3 L", "--output", path});
  EXPECT_EQ(lines_of(path).size(), 2U + 5U);
}

std::string words(const std::string& text) {
  std::istringstream in(text);
  std::string all;
  for (std::string word; in >> word;) all += (all.empty() ? "" : " ") + word;
  return all;
}

// A file holds the answer: what was written, where the risk is met, and the caution are told.
TEST(CurveCommand, TellsWhatAFileHolds) {
  const TemporaryDirectory directory;
  const std::string path = directory.file("risk.csv");
  const std::vector<std::string> args{"curve", k_sedan, "--along", "heel.indicated=2:6:2L"};
  const auto said = [&](std::vector<std::string> more) {
    more.insert(more.begin(), args.begin(), args.end());
    more.insert(more.end(), {"--output", path});
    return words(text_of(more));
  };
  const std::string caution(answer::words("caution.short"));
  const std::string text = said({});
  EXPECT_TRUE(text.starts_with(path + " is written. Chance of landing below 62 %, along ")) << text;
  EXPECT_NE(text.find("Within the accepted risk of 1 % up to 3."), std::string::npos) << text;
  EXPECT_TRUE(text.ends_with(caution)) << text;
  const std::string three = said({"--by", "fuel.content=exact(60 %); exact(74 %); exact(90 %)"});
  EXPECT_NE(three.find("(60 %): Nowhere along it within the accepted risk of 1 %."),
            std::string::npos)
      << three;
  EXPECT_NE(three.find("(90 %): Everywhere along it within the accepted risk of 1 %."),
            std::string::npos)
      << three;
  const std::string landed = said({"--show", "landed"});
  EXPECT_EQ(landed.find("accepted risk"), std::string::npos) << landed;
  EXPECT_TRUE(landed.ends_with(caution)) << landed;
}

TEST(CurveCommand, MethodIsWhatWasUsed) {
  const auto method = [](std::vector<std::string> more) {
    more.insert(more.begin(), {"curve", k_wagon, "--along", "heel.indicated=4 L; 5 L"});
    return answer_of(more).at("method").get<std::string>();
  };
  EXPECT_EQ(method({}), "conditional");
  EXPECT_EQ(method({"--method", "crude", "--cases", "1000"}), "crude");
  EXPECT_EQ(method({"--show", "landed"}), "conditional");
  EXPECT_EQ(method({"--show", "arrival", "--after", "0.4 L"}), "conditional");
  EXPECT_EQ(method({"--show", "amount"}), "conditional");
}

TEST(CurveCommand, PicturesOfEveryKindAreDrawn) {
  const TemporaryDirectory directory;
  if (std::system("command -v gnuplot >/dev/null") != 0) GTEST_SKIP() << "gnuplot is not installed";
  for (const std::string show : {"chance", "amount", "landed", "arrival"}) {
    const std::string path = directory.file(show + ".svg");
    std::vector<std::string> args{"curve",    k_wagon,
                                  "--along",  "heel.indicated=4:12:2L",
                                  "--by",     "line.filter=0.1 L; 0.2 L",
                                  "--show",   show,
                                  "--output", path};
    if (show == "arrival") args.insert(args.end(), {"--after", "0.3 L"});
    text_of(args);
    EXPECT_GT(std::filesystem::file_size(path), 1000U) << show;
  }
}

TEST(DriversCommand, TextAndJsonSayTheSame) {
  const std::vector<std::string> args{"drivers", k_sedan, "--limits.minimum", "58 %"};
  const json answer = answer_of(args);
  const std::string text = text_of(args);
  ASSERT_FALSE(answer.at("inputs").empty());
  for (const json& input : answer.at("inputs")) {
    // Shares are told with a decimal of a percent.
    std::ostringstream share;
    share.precision(1);
    share << std::fixed << 100.0 * std::max(0.0, input.at("total").at("value").get<double>())
          << " %";
    EXPECT_NE(text.find(share.str()), std::string::npos) << input.dump();
    EXPECT_NEAR(
        input.at("margin_saved").get<double>(),
        answer.at("safe_amount").get<double>() - input.at("safe_amount_if_known").get<double>(),
        1e-9);
    EXPECT_NEAR(input.at("heel_gained").get<double>(),
                input.at("highest_indicated_if_known").get<double>() -
                    answer.at("highest_indicated").get<double>(),
                1e-9);
  }
}

TEST(DriversCommand, CorrelatedSharesAreExplained) {
  const std::string text = text_of({"drivers", k_examples + "van-one-supplier.ini"});
  EXPECT_NE(text.find("correlated with"), std::string::npos);
  EXPECT_EQ(text_of({"drivers", k_sedan}).find("correlated with"), std::string::npos);
}

TEST(DriversCommand, PictureIsDrawn) {
  const TemporaryDirectory directory;
  if (std::system("command -v gnuplot >/dev/null") != 0) GTEST_SKIP() << "gnuplot is not installed";
  const std::string path = directory.file("drivers.svg");
  text_of({"drivers", k_sedan, "--output", path});
  EXPECT_GT(std::filesystem::file_size(path), 1000U);
}

}  // namespace
}  // namespace blendrisk::cli::curve_command_test
