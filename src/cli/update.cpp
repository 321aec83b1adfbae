#include <istream>
#include <ostream>

#include "answer/words.hpp"
#include "ask/readings.hpp"
#include "cli/answering.hpp"
#include "line/sensor_posterior.hpp"
#include "scenario/reading_text.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

void require_order(const std::optional<scenario::LoggedReading>& before,
                   const scenario::LoggedReading& reading) {
  if (!before || before->by_time != reading.by_time || reading.at >= before->at) return;
  throw Error("goes back", "readings in the order they were read are accepted");
}

const text::Place k_given{"--reading"};

/// The readings of --reading.
std::vector<scenario::LoggedReading> given_readings(const Arguments& arguments) {
  std::vector<scenario::LoggedReading> readings;
  for (const std::string& text : arguments.reading) {
    readings.push_back(text::at(k_given, [&] { return scenario::parse_reading(text); }));
  }
  return readings;
}

std::vector<scenario::LoggedReading> logged(const Arguments& arguments, scenario::AboutLog& about) {
  std::vector<scenario::LoggedReading> readings;
  const std::string& path = arguments.readings;
  if (!path.empty()) {
    const std::string text = log_text(path, "a CSV file of readings", "fewer readings are");
    readings = scenario::read_readings(path, text, arguments.started, &about);
  }
  for (const auto& reading : given_readings(arguments)) readings.push_back(reading);
  return readings;
}

Answer answer_once(const Arguments& arguments, const scenario::Scenario& scenario,
                   line::Follow& follow, const Stopwatch& watch) {
  scenario::AboutLog about;
  const std::vector<scenario::LoggedReading> readings = logged(arguments, about);
  const std::string note = answer::log_note(about, readings.front().by_time);
  std::vector<line::Reading> taken;
  const text::Place place = arguments.readings.empty() ? k_given : text::Place{arguments.readings};
  for (const scenario::LoggedReading& reading : readings) {
    taken.push_back(text::at(place, [&] { return ask::taken(follow, reading); }));
  }
  line::Posterior result;
  try {
    follow.add(taken);
    result = follow.posterior();
    if (arguments.lines) result.carried = follow.carried_over();
  } catch (const line::NoPosterior& error) {
    const std::string why = answer::reason(error);
    if (error.why != line::NoPosterior::Why::contradiction) {
      throw Error(why, {}, {}, text::Fault::surroundings);
    }
    throw Error(why + (note.empty() ? "" : ". " + note), {}, {arguments.scenario_path});
  }
  return {told(arguments, scenario, answer::Updated{result, note}, watch.seconds()),
          judged(arguments, result.met)};
}

/// Follows standard input: one answer a line, at once.
class Stream {
 public:
  Stream(const Call& call, const scenario::Scenario& scenario, line::Follow& follow)
      : call_(call), scenario_(scenario), follow_(follow), lines_(call.arguments.started) {}

  Answer run() {
    const std::vector<scenario::LoggedReading> given = given_readings(call_.arguments);
    for (std::size_t i = 1; i < given.size(); ++i) {
      text::at(k_given, [&] { require_order(given[i - 1], given[i]); });
    }
    for (const auto& reading : given) text::at(k_given, [&] { take(reading, Stopwatch()); });
    std::string line;
    for (std::size_t number = 1; next_line(line); ++number) {
      const Stopwatch watch;
      const text::Place place{"standard input", number};
      try {
        scenario::LoggedReading reading;
        if (lines_.take(line, reading) == scenario::ReadingLines::Kind::nothing) continue;
        tell_of_log(reading, place);
        take(reading, watch);
      } catch (const Error& error) {
        skip(seen_from(place, error));
      }
      if (!call_.out) return {"", k_could_not_finish};
    }
    if (answered_ == 0) {
      throw Error("ended without a reading", "lines such as 0.3 L: 57 % are accepted",
                  {"standard input"});
    }
    if (skipped_ > 0) {
      call_.err << "blendrisk: standard input: " << skipped_
                << (skipped_ == 1 ? " line was skipped" : " lines were skipped") << std::endl;
    }
    return {"", judged(call_.arguments, met_)};
  }

 private:
  /// A line without its end; a longer one than any reading is cut, and then is none.
  bool next_line(std::string& line) {
    line.clear();
    bool any = false;
    for (char c = 0; call_.in.get(c);) {
      any = true;
      if (c == '\n') return true;
      if (line.size() <= text::k_longest_line) line += c;
    }
    return any;
  }

  void skip(const Error& error) {
    ++skipped_;
    call_.err << "blendrisk: " << text::escaped(error.what()) << "; the line is skipped"
              << std::endl;
  }

  /// Once a header.
  void tell_of_log(const scenario::LoggedReading& reading, const text::Place& place) {
    const std::string note = answer::log_note(lines_.about(), reading.by_time);
    if (note == note_) return;
    note_ = note;
    if (!note_.empty()) call_.err << "blendrisk: " << place.head() << note_ << std::endl;
  }

  void take(const scenario::LoggedReading& reading, const Stopwatch& watch) {
    const line::Reading taken = ask::taken(follow_, reading);
    require_order(last_, reading);
    // What is said of all answers stands above the first.
    if (answered_++ == 0 && !call_.arguments.json)
      call_.out << answer::words("caution.short") << "\n";
    try {
      follow_.add({taken});
      const line::Posterior result = follow_.posterior(line::Follow::Detail::decision);
      met_ = result.met;
      const answer::Updated updated{result, note_, skipped_};
      call_.out << (call_.arguments.json
                        ? answer::closed(answer::members(asked(watch.seconds()), updated))
                        : answer::shown(answer::one_line(result, taken), call_.arguments.units) +
                              "\n");
      last_ = reading;
      lines_.accept();
    } catch (const line::NoPosterior& error) {
      // One wrong reading does not spoil those to come.
      follow_.undo();
      met_ = false;
      const std::string why = answer::reason(error) + "; this reading is left out" +
                              (note_.empty() ? "" : ". " + note_);
      call_.out << (call_.arguments.json
                        ? answer::closed(answer::without_odds(asked(0.0), why, skipped_))
                        : answer::shown(answer::say("line.no_odds", answer::text(why))) + "\n");
    }
    call_.out << std::flush;
  }

  answer::Asked asked(double elapsed_s) const {
    return {scenario_, call_.arguments.options, call_.arguments.units, elapsed_s};
  }

  const Call& call_;
  const scenario::Scenario& scenario_;
  line::Follow& follow_;
  scenario::ReadingLines lines_;
  std::optional<scenario::LoggedReading> last_;
  std::string note_;
  std::size_t answered_ = 0;
  std::size_t skipped_ = 0;
  bool met_ = false;
};

Answer answer_update(const Call& call) {
  const Arguments& arguments = call.arguments;
  const Stopwatch watch;
  if (arguments.readings.empty() && arguments.reading.empty()) {
    throw Error(
        "update: no reading; --reading \"0.3 L: 57 %\", --readings FILE.csv or --readings - is "
        "accepted");
  }
  const scenario::Scenario scenario = read_scenario(arguments);
  return computed({arguments.scenario_path}, [&] {
    line::Follow follow(scenario, arguments.options);
    return arguments.readings == "-" ? Stream(call, scenario, follow).run()
                                     : answer_once(arguments, scenario, follow, watch);
  });
}

}  // namespace

extern const Command k_update{
    .name = "update",
    .question = "given readings taken since the fill, what are the odds now?",
    .usage = R"(SCENARIO.ini --reading "0.3 L: 57 %" [--reading ...] [options]
SCENARIO.ini --readings LOG.csv [options]
SCENARIO.ini --readings - [options])",
    .about =
        R"(The odds once readings of the content sensor have come in since the fill: whether the injectors
get fuel within the limit by now, what is left to burn, where the tank landed, and what the
readings say of the sensor's bias. A log has the columns reading_percent and burned_l, time_s or
clock; times with fuel_rate_l_per_h become burned fuel by the logged rate.
With - each line of standard input is answered by a line: a reading as above, or rows of a log
after its header. Lines that are none are told of and skipped.
With --lines, what is now known of the tank, the line and the sensor's bias as lines of a scenario,
for the next fill.
)",
    .options = "json seed threads units reading readings started lines require",
    .answer = answer_update};

}  // namespace blendrisk::cli
