#include <chrono>
#include <istream>
#include <ostream>

#include "cli/app.hpp"
#include "cli/commands.hpp"
#include "cli/files.hpp"
#include "cli/scenario_file.hpp"
#include "estimate/posterior.hpp"
#include "report/cautions.hpp"
#include "report/update_text.hpp"
#include "scenario/reading_text.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_largest_log = 256'000'000;

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

estimate::Moment moment_of(const scenario::LoggedReading& reading) {
  using By = estimate::Moment::By;
  return {reading.by_time ? By::time : By::burned, reading.at};
}

/// Refuses times where the scenario has no rates to burn by, and more than a tank of fuel.
void require_rates(const estimate::Follow& follow, const scenario::LoggedReading& reading,
                   const std::string& where) {
  const double capacity = follow.line().inputs().scenario().tank.capacity_l;
  if (!reading.by_time && reading.at > capacity) {
    throw scenario::InputError(where +
                               ": more is burned than the tank holds; at most tank.capacity");
  }
  if (!reading.by_time || follow.line().has_rates()) return;
  throw scenario::InputError(
      where +
      ": the reading is by time, and the scenario has no rate for engine.schedule; "
      "engine.idle = 0.9 L/h, or what was burned in place of the time");
}

/// @param unread  gets the names of the log's columns that are not read
std::vector<scenario::LoggedReading> logged(const Arguments& arguments,
                                            std::vector<std::string>& unread) {
  std::vector<scenario::LoggedReading> readings;
  try {
    if (!arguments.readings.empty()) {
      const std::string& path = arguments.readings;
      std::string text;
      try {
        text = read_bytes(path, k_largest_log);
      } catch (const FileError& error) {
        throw scenario::InputError(scenario::escaped(path) + ": " + error.what() +
                                   "; a CSV file of readings is accepted");
      }
      if (text.size() > k_largest_log) {
        throw scenario::InputError(scenario::escaped(path) +
                                   ": is larger than 256 MB; fewer "
                                   "readings are accepted");
      }
      readings = scenario::read_readings(path, text, &unread);
    }
    for (const std::string& text : arguments.reading) {
      try {
        readings.push_back(scenario::parse_reading(text));
      } catch (const scenario::ReadingError& error) {
        throw UsageError(std::string("--reading: ") + error.what());
      }
    }
  } catch (const scenario::ReadingError& error) {
    throw scenario::InputError(error.what());
  }
  return readings;
}

Answer answer_once(const Arguments& arguments, const scenario::Scenario& scenario,
                   estimate::Follow& follow, Clock::time_point start) {
  std::vector<std::string> unread;
  const std::vector<scenario::LoggedReading> readings = logged(arguments, unread);
  const std::string note = report::unread_note(unread, readings.front().by_time);
  std::vector<estimate::Reading> taken;
  for (const scenario::LoggedReading& reading : readings) {
    require_rates(follow, reading,
                  arguments.readings.empty() ? "--reading" : scenario::escaped(arguments.readings));
    taken.push_back(follow.reading(moment_of(reading), reading.content));
  }
  estimate::Posterior result;
  try {
    follow.add(taken);
    result = follow.posterior();
  } catch (const estimate::Contradiction& error) {
    throw scenario::InputError(scenario::escaped(arguments.scenario_path) + ": " + error.what() +
                               (note.empty() ? "" : ". " + note));
  }
  Answer answer;
  answer.text =
      arguments.json
          ? report::update_json(scenario, result, arguments.options, seconds_since(start), 0, note)
          : report::update_text(scenario, result, arguments.options, arguments.units, note);
  if (arguments.require && !result.met) answer.status = k_risk_not_met;
  return answer;
}

/// Follows standard input: one answer a line, at once.
class Stream {
 public:
  Stream(const Arguments& arguments, const scenario::Scenario& scenario, estimate::Follow& follow,
         std::ostream& out, std::ostream& err)
      : arguments_(arguments), scenario_(scenario), follow_(follow), out_(out), err_(err) {}

  Answer run(std::istream& in) {
    for (const std::string& text : arguments_.reading) {
      take(scenario::parse_reading(text), "--reading", Clock::now());
    }
    std::string line;
    for (std::size_t number = 1; next_line(in, line); ++number) {
      const Clock::time_point start = Clock::now();
      const std::string where = "standard input:" + std::to_string(number);
      try {
        scenario::LoggedReading reading;
        if (lines_.take(line, reading) == scenario::ReadingLines::Kind::nothing) continue;
        tell_unread(reading, where);
        take(reading, where, start);
      } catch (const scenario::ReadingError& error) {
        skip(where + ": " + error.what());
      } catch (const scenario::InputError& error) {
        skip(error.what());
      }
      if (!out_) return {"", k_could_not_finish};
    }
    if (answered_ == 0) {
      throw scenario::InputError(
          "standard input: ended without a reading; lines such as 0.3 L: 57 % are accepted");
    }
    if (skipped_ > 0) {
      err_ << "blendrisk: standard input: " << skipped_
           << (skipped_ == 1 ? " line was skipped" : " lines were skipped") << std::endl;
    }
    return {"", arguments_.require && !met_ ? k_risk_not_met : k_answered};
  }

 private:
  /// A line without its end; a longer one than any reading is cut, and then is none.
  static bool next_line(std::istream& in, std::string& line) {
    line.clear();
    bool any = false;
    for (char c = 0; in.get(c);) {
      any = true;
      if (c == '\n') return true;
      if (line.size() <= scenario::k_longest_line) line += c;
    }
    return any;
  }

  void skip(const std::string& what) {
    ++skipped_;
    err_ << "blendrisk: " << scenario::escaped(what) << "; the line is skipped" << std::endl;
  }

  /// Once a header.
  void tell_unread(const scenario::LoggedReading& reading, const std::string& where) {
    const std::string note = report::unread_note(lines_.unread(), reading.by_time);
    if (note == note_) return;
    note_ = note;
    if (!note_.empty()) err_ << "blendrisk: " << where << ": " << note_ << std::endl;
  }

  void take(const scenario::LoggedReading& reading, const std::string& where,
            Clock::time_point start) {
    require_rates(follow_, reading, where);
    if (last_ && last_->by_time == reading.by_time && reading.at < last_->at) {
      throw scenario::ReadingError("goes back; readings in the order they were read are accepted");
    }
    const estimate::Reading taken = follow_.reading(moment_of(reading), reading.content);
    // What is said of all answers stands above the first.
    if (answered_++ == 0 && !arguments_.json) out_ << report::k_short_caution << "\n";
    try {
      follow_.add({taken});
      const estimate::Posterior result = follow_.posterior();
      met_ = result.met;
      out_ << (arguments_.json ? report::update_json(scenario_, result, arguments_.options,
                                                     seconds_since(start), skipped_, note_)
                               : report::update_line(scenario_, result, taken, arguments_.units));
      last_ = reading;
    } catch (const estimate::NoPosterior& error) {
      // One wrong reading does not spoil those to come.
      follow_.undo();
      met_ = false;
      const std::string why = std::string(error.what()) + "; this reading is left out" +
                              (note_.empty() ? "" : ". " + note_);
      out_ << (arguments_.json
                   ? report::no_update_json(scenario_, why, arguments_.options, skipped_)
                   : "NO ODDS: " + why + "\n");
    }
    out_ << std::flush;
  }

  const Arguments& arguments_;
  const scenario::Scenario& scenario_;
  estimate::Follow& follow_;
  std::ostream& out_;
  std::ostream& err_;
  scenario::ReadingLines lines_;
  std::optional<scenario::LoggedReading> last_;
  std::string note_;
  std::size_t answered_ = 0;
  std::size_t skipped_ = 0;
  bool met_ = false;
};

}  // namespace

Answer answer_update(const Arguments& arguments, std::istream& in, std::ostream& out,
                     std::ostream& err) {
  const Clock::time_point start = Clock::now();
  if (arguments.readings.empty() && arguments.reading.empty()) {
    throw UsageError(
        "update: no reading; --reading \"0.3 L: 57 %\", --readings FILE.csv or --readings - is "
        "accepted");
  }
  const scenario::Scenario scenario = read_scenario(arguments);
  return answered(arguments, [&] {
    estimate::Follow follow(scenario, arguments.options);
    if (arguments.readings == "-") {
      return Stream(arguments, scenario, follow, out, err).run(in);
    }
    return answer_once(arguments, scenario, follow, start);
  });
}

}  // namespace blendrisk::cli
