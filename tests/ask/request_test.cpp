#include "ask/request.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/source_dir.hpp"

// What the page asks of the library. Numbers are held against the program's by tests/browser.
namespace blendrisk::ask::request_test {
namespace {

using Json = nlohmann::json;
using ::testing::HasSubstr;

Json request(const std::string& command, const std::string& example) {
  std::ifstream file(testing::source_dir() + "/examples/" + example);
  std::stringstream text;
  text << file.rdbuf();
  return {{"command", command}, {"name", example}, {"scenario", text.str()}};
}

Json answer(const Json& request) {
  return Json::parse(answered(request.dump()));
}

TEST(Request, AnswersWithWhatThePageShows) {
  const Json chance = answer(request("chance", "sedan.ini"));
  EXPECT_EQ(chance.at("answer").at("command"), "chance");
  EXPECT_EQ(chance.at("met"), chance.at("answer").at("met"));
  EXPECT_FALSE(chance.at("done").get<bool>());
  EXPECT_THAT(chance.at("shows").get<std::string>(),
              HasSubstr("data-source=\"chance/outside/chance\""));
  EXPECT_FALSE(chance.contains("text"));
}

TEST(Request, WhatIsGivenWinsOverTheScenario) {
  Json asked = request("chance", "sedan.ini");
  const Json before = answer(asked);
  asked["given"] = Json::array({{"heel.indicated", "9 L"}});
  const Json after = answer(asked);
  EXPECT_NE(before.at("answer").at("outside"), after.at("answer").at("outside"));
  asked["command"] = "scenario";
  const std::string text = answer(asked).at("text");
  EXPECT_THAT(text, HasSubstr("[heel]\nindicated = 9 L"));
  // The text is that scenario: nothing has to be given beside it.
  const Json again = answer({{"command", "chance"}, {"name", "sedan.ini"}, {"scenario", text}});
  EXPECT_EQ(again.at("answer"), after.at("answer"));
}

TEST(Request, ThePageHasNoFilesToInclude) {
  Json asked = request("chance", "sedan.ini");
  asked["scenario"] = "include = shop.ini\n" + asked["scenario"].get<std::string>();
  const Json refused = answer(asked);
  EXPECT_EQ(refused.at("key"), "include");
  EXPECT_EQ(refused.at("error"),
            "sedan.ini:1: include: is not accepted here, where there are no files; one text with "
            "all of its lines is accepted");
}

TEST(Request, ARefusalIsTheProgramsLineAndItsKey) {
  Json asked = request("fill", "sedan.ini");
  asked["given"] = Json::array({{"heel.indicated", "nine"}});
  const Json refused = answer(asked);
  EXPECT_EQ(refused.at("key"), "heel.indicated");
  EXPECT_THAT(refused.at("error").get<std::string>(), HasSubstr("heel.indicated: "));
  asked["given"] = Json::array();
  asked["scenario"] = "[heel]\nnothing\n";
  EXPECT_THAT(answer(asked).at("error").get<std::string>(), HasSubstr("sedan.ini:2: "));
  EXPECT_THAT(answered("{"), HasSubstr("error"));
}

TEST(Request, ReadingsAreThoseOfUpdate) {
  Json asked = request("update", "wagon-line.ini");
  EXPECT_EQ(answer(asked).at("key"), "reading");
  asked["readings"] = {"0.3 L: 57 %", "0.9 L: 70 %"};
  const Json update = answer(asked);
  EXPECT_EQ(update.at("answer").at("readings"), 2);
  EXPECT_THAT(update.at("shows").get<std::string>(),
              HasSubstr(update.at("met").get<bool>() ? "SWITCH" : "NOT YET"));
  asked["readings"] = {"0.3 L: 57 %", "much: 75 %"};
  EXPECT_EQ(answer(asked).at("key"), "reading");
}

TEST(Request, AllOfAnAnswerComesWithItsPicture) {
  Json asked = request("arrive", "wagon-line.ini");
  asked["text"] = true;
  const Json arrive = answer(asked);
  EXPECT_THAT(arrive.at("text").get<std::string>(), HasSubstr("Cautions"));
  EXPECT_THAT(arrive.at("picture").get<std::string>(), HasSubstr("<svg "));
  EXPECT_FALSE(arrive.at("alt").get<std::string>().empty());
}

TEST(Request, DataFilesComeWithIt) {
  Json asked = request("chance", "sedan.ini");
  asked["given"] =
      Json::array({{"fuel.content", R"(measured("invented-pump-tests.csv", "content_percent"))"}});
  EXPECT_THAT(answer(asked).at("error").get<std::string>(), HasSubstr("is not part of the page"));
  std::ifstream file(testing::source_dir() + "/examples/invented-pump-tests.csv");
  std::stringstream text;
  text << file.rdbuf();
  asked["files"] = {{"invented-pump-tests.csv", text.str()}};
  EXPECT_TRUE(answer(asked).contains("answer"));
}

}  // namespace
}  // namespace blendrisk::ask::request_test
