#include "answer/reasons.hpp"

#include <gtest/gtest.h>

#include "answer/words.hpp"

namespace blendrisk::answer {
namespace {

/// Of the members of an enum from the first to `last`, in its order.
template <class Enum, class Say>
void expect_words(Enum last, const std::string& of_last, const Say& say_of) {
  for (int i = 0; i < static_cast<int>(last); ++i) {
    const std::string said = say_of(static_cast<Enum>(i));
    EXPECT_NE(said, of_last);
    EXPECT_EQ(said.find('{'), std::string::npos) << said;
  }
  EXPECT_EQ(say_of(last), of_last);
}

TEST(Reasons, EveryMemberHasItsWords) {
  const auto plain = [](auto why) { return reason(why); };
  expect_words(decide::NoWindow::outside, "none.reading"_w, plain);
  expect_words(decide::NoBurn::tank, "none.tank_too_often"_w, plain);
  expect_words(decide::NoReading::within_already, "none.within_already"_w, plain);
  expect_words(learn::NotTold::as_well_without_it, "learn.as_well_without"_w,
               [](learn::NotTold why) {
                 learn::Fitted one;
                 one.not_told = why;
                 return reason(one);
               });
  expect_words(learn::Note::What::scatters, "learn.note.scatters"_w,
               [](learn::Note::What what) { return shown(said(learn::Note{what})); });
  expect_words(estimate::Impossible::no_rate_by_time, "impossible.no_rate_by_time"_w,
               [](estimate::Impossible why) { return reason(estimate::ImpossibleScenario(why)); });
  using Why = learn::UntellingLog::Why;
  expect_words(Why::no_rate, "log.no_rate"_w,
               [](Why why) { return reason(learn::UntellingLog(why)); });
}

TEST(Reasons, NumbersAndKeysStandInTheirPlaces) {
  EXPECT_EQ(reason(estimate::ImpossibleScenario(estimate::Impossible::no_rate, "engine.gentle",
                                                "sensor.lag")),
            "engine.gentle: is required beside sensor.lag; a rate such as 0.9 L/h");
  EXPECT_EQ(reason(line::NoPosterior(line::NoPosterior::Why::few_cases, 42.9)),
            "too few cases come near the readings to tell the odds (42 effective cases, at least "
            "100 are wanted)");
  EXPECT_EQ(reason(learn::UntellingLog(learn::UntellingLog::Why::few_rows, 6, 5, 8)),
            "has 6 rows for 5 unknowns; at least 8 rows are accepted");
  const std::string empty =
      reason(estimate::ImpossibleScenario(estimate::Impossible::empty_tank, "fill-2.amount"));
  EXPECT_TRUE(empty.starts_with("fill-2.amount: the tank may hold nothing")) << empty;
  for (const char* key : {"line.reservoir", "line.filter", "line.pipe", "line.beyond-sensor"}) {
    const std::string none = reason(estimate::ImpossibleScenario(estimate::Impossible::no_line));
    EXPECT_NE(none.find(key), std::string::npos);
  }
  learn::Fitted one;
  one.not_told = learn::NotTold::not_apart;
  one.pair = {"line.reservoir", "line.filter"};
  EXPECT_EQ(reason(one), "the log cannot tell line.reservoir and line.filter apart");
  EXPECT_EQ(shown(said(learn::Note{learn::Note::What::either_flow, "plug", 0.1278})),
            "With line.pipe-flow = plug the log fits about as well, with a pipe of 128 mL: the "
            "volumes rest on the law that the scenario gives.");
  EXPECT_TRUE(shown(said(learn::Note{learn::Note::What::ends_early, {}, 0.824}))
                  .starts_with("The log ends when 82 % of the change"));
}

}  // namespace
}  // namespace blendrisk::answer
