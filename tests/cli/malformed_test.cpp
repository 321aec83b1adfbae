#include <algorithm>
#include <string>
#include <vector>

#include "tests/cli/temporary_files.hpp"

// Every malformed scenario and command line ends with status 2, one line on standard error that
// says where, and nothing on standard output. The cars are invented.
namespace blendrisk::cli {
namespace {

using testing::run_with;
using testing::TemporaryDirectory;

/// A scenario that runs; a case replaces `from` (a whole line, or part of one) by `to`.
constexpr const char* k_good = R"([tank]
capacity = 60 L
[heel]
indicated = 5 L
content = 10 %
[fuel]
content = 75 %
[limits]
minimum = 60 %
)";

std::string replaced(const std::string& from, const std::string& to) {
  std::string text = k_good;
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

void expect_refused(const std::vector<std::string>& args, const std::string& expected,
                    const std::string& which) {
  const auto result = run_with(args);
  EXPECT_EQ(result.status, k_bad_input) << which << ": " << result.err;
  EXPECT_EQ(result.out, "") << which;
  EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << which << result.err;
  EXPECT_TRUE(result.err.starts_with("blendrisk: ")) << which << ": " << result.err;
  EXPECT_NE(result.err.find(expected), std::string::npos)
      << which << ": expected '" << expected << "' in " << result.err;
  const bool printable = std::all_of(result.err.begin(), result.err.end() - 1, [](char c) {
    return static_cast<unsigned char>(c) >= 0x20 && static_cast<unsigned char>(c) != 0x7F;
  });
  EXPECT_TRUE(printable) << which;
  EXPECT_LT(result.err.size(), 900U) << which;
}

struct BadText {
  std::string from, to, expected;
};

const std::vector<BadText>& bad_quantities() {
  static const std::vector<BadText> cases{
      {"60 L", "60", "car.ini:2: tank.capacity: "},
      {"60 L", "60 kg", "car.ini:2: tank.capacity: "},
      {"60 L", "60 %", "car.ini:2: tank.capacity: "},
      {"60 L", "60 ML", "car.ini:2: tank.capacity: \"60 ML\" has the unit"},
      {"60 L", "L", "car.ini:2: tank.capacity: "},
      {"60 L", "", "car.ini:2: tank.capacity: has no value"},
      {"60 L", "nan L", "car.ini:2: tank.capacity: "},
      {"60 L", "inf L", "car.ini:2: tank.capacity: "},
      {"60 L", "1e999 L", "car.ini:2: tank.capacity: "},
      {"60 L", "1e300 L", "car.ini:2: tank.capacity: "},
      {"60 L", "0x10 L", "car.ini:2: tank.capacity: "},
      {"60 L", "60,5 L", "car.ini:2: tank.capacity: \"60,5 L\" has a decimal comma; write 60.5 L"},
      {"60 L", "1/2 tank", "car.ini:2: tank.capacity: \"1/2 tank\" has the unit"},
      {"5 L", "12 %", "or a share of the tank such as 1/8 tank"},
      {"5 L", "9/8 tank", "car.ini:4: heel.indicated: leaves more"},
      {"5 L", "-1/8 tank", "car.ini:4: heel.indicated: "},
      {"60 L", "60 L L", "car.ini:2: tank.capacity: "},
      {"60 L", "0 L", "car.ini:2: tank.capacity: "},
      {"60 L", "-60 L", "car.ini:2: tank.capacity: "},
      {"60 L", "normal(60 L, 1 L)", "car.ini:2: tank.capacity: "},
      {"5 L", "-5 L", "car.ini:4: heel.indicated: "},
      {"5 L", "61 L", "car.ini:4: heel.indicated: "},
      {"10 %", "-1 %", "car.ini:5: heel.content: "},
      {"10 %", "101 %", "car.ini:5: heel.content: "},
      {"10 %", "0.1", "car.ini:5: heel.content: "},
      {"75 %", "E85",
       "car.ini:7: fuel.content: \"E85\" names a fuel, not a content; the limits of"},
      {"10 %", "E10",
       "car.ini:5: heel.content: \"E10\" names a fuel, not a content; the limits of"},
      {"75 %", "75 %\nhose-content = E10", "car.ini:8: fuel.hose-content: \"E10\" names a fuel"},
      {"75 %", "75 %\n[line]\ncontent = E10", "car.ini:9: line.content: \"E10\" names a fuel"},
      {"75 %", "75 %\n[fill-2]\ncontent = E85", "car.ini:9: fill-2.content: \"E85\" names a fuel"},
      {"75 %", "uniform(68 %, E83)", "car.ini:7: fuel.content: \"E83\" names a fuel"},
      {"60 %", "E60", "car.ini:9: limits.minimum: \"E60\" names a fuel, not a content; a content"},
      {"60 %", "-5 %", "car.ini:9: limits.minimum: "},
      {"60 %", "60 %\nmaximum = 50 %", "limits.minimum: is not below"},
      {"60 %", "60 %\nmaximum = 60 %", "limits.minimum: is not below"},
      {"60 %", "60 %\naccepted-risk = 0 %", "car.ini:10: limits.accepted-risk: "},
      {"60 %", "60 %\naccepted-risk = 100 %", "car.ini:10: limits.accepted-risk: "},
      {"60 %", "60 %\naccepted-risk = 1", "car.ini:10: limits.accepted-risk: "},
      {"60 %", "60 %\ndry-risk = -1 %", "car.ini:10: limits.dry-risk: "},
      {"60 L", "60 L\npickup-floor = 60 L", "car.ini:3: tank.pickup-floor: "},
      {"60 L", "60 L\npickup-floor = -1 L", "car.ini:3: tank.pickup-floor: "},
      {"60 L", "60 L\nclick-off = 0 L", "car.ini:3: tank.click-off: "},
      {"75 %", "75 %\nprice = 0.92", "car.ini:8: fuel.price: "},
      {"75 %", "75 %\nprice = -1 /L", "car.ini:8: fuel.price: "},
      {"75 %", "75 %\nhose-volume = -1 L", "car.ini:8: fuel.hose-volume: "},
      {"75 %", "75 %\nmeter-error = 2 L", "car.ini:8: fuel.meter-error: "},
      {"75 %", "75 %\n[fill]\namount = -3 L", "car.ini:9: fill.amount: "},
      {"75 %", "75 %\n[fill]\namount = clickoff", "car.ini:9: fill.amount: "},
      {"75 %", "75 %\n[sensor]\nbias = 120 %", "car.ini:9: sensor.bias: "},
      {"75 %", "75 %\n[sensor]\nlag = 3 L", "car.ini:9: sensor.lag: "},
      {"75 %", "75 %\n[line]\npipe-flow = fast", "car.ini:9: line.pipe-flow: "},
      {"75 %", "75 %\n[engine]\nidle = 0 L/h", "car.ini:9: engine.idle: "},
      {"75 %", "75 %\n[tester]\nsd = -1 %", "car.ini:9: tester.sd: "},
      {"75 %", "75 %\n[tester]\nbias = 1 L", "car.ini:9: tester.bias: "},
  };
  return cases;
}

const std::vector<BadText>& bad_laws() {
  static const std::vector<BadText> cases{
      {"75 %", "normal(75 %, 0 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, -1 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75,5 %, 1 %)", "fuel.content: \"75,5 %\" has a decimal comma; write 75.5 %"},
      {"75 %", "normal(75 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 %, 2 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75, 1)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 L)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 %", "car.ini:7: fuel.content: "},
      {"75 %", "normal(nan %, 1 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, inf %)", "car.ini:7: fuel.content: "},
      {"75 %", "norml(75 %, 1 %)", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 %) in [90 %, 80 %]", "car.ini:7: fuel.content: "},
      {"75 %", "uniform(50 %, 60 %) in [70 %, 80 %]", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 %) in 70 %", "car.ini:7: fuel.content: "},
      {"75 %", "normal(75 %, 1 %) tail", "car.ini:7: fuel.content: "},
      {"75 %", "uniform(80 %, 70 %)", "car.ini:7: fuel.content: "},
      {"75 %", "uniform(70 %, 70 %)", "car.ini:7: fuel.content: "},
      {"75 %", "uniform(110 %, 120 %)", "car.ini:7: fuel.content: "},
      {"75 %", "triangular(60 %, 90 %, 80 %)", "car.ini:7: fuel.content: "},
      {"75 %", "trapezoidal(60 %, 80 %, 70 %, 90 %)", "car.ini:7: fuel.content: "},
      {"75 %", "arcsine(80 %, 70 %)", "car.ini:7: fuel.content: "},
      {"75 %", "beta(60 %, 80 %, 0, 2)", "car.ini:7: fuel.content: "},
      {"75 %", "student(75 %, 1 %, 0)", "car.ini:7: fuel.content: "},
      {"75 %", "tests(75 %)", "car.ini:7: fuel.content: "},
      {"75 %", "tests(75 %, 75 %)", "car.ini:7: fuel.content: "},
      {"75 %", "measured(\"none.csv\", \"x\")", "car.ini:7: fuel.content: none.csv: "},
      {"75 %", "measured(\".\", \"x\")", "car.ini:7: fuel.content: .: is a directory"},
      {"75 %", "measured(none.csv)", "car.ini:7: fuel.content: "},
  };
  return cases;
}

const std::vector<BadText>& bad_structure() {
  static const std::vector<BadText> cases{
      {"capacity", "capcity", "car.ini:2: tank.capcity: unknown key"},
      {"[heel]", "[heal]", "car.ini:3: unknown section"},
      {"capacity", "Capcity", "car.ini:2: tank.Capcity: unknown key"},
      {"5 L", "5 L\nIndicated = 5 L", "heel.indicated: is given twice, on lines 4 and 5"},
      {"75 %", "75 %\n[engine]\nidle = 1 L/h\nschedule = idle 4,5 min, idle", "write 4.5 min"},
      {"[heel]", "[]", "car.ini:3: unknown section"},
      {"[heel]", "[heel", "car.ini:3: "},
      {"[heel]", "[heel]\n= 4 L", "car.ini:4: "},
      {"[heel]", "[heel]\nsomething", "car.ini:4: "},
      {"[heel]", "[fill-10]", "car.ini:3: unknown section"},
      {"5 L", "5 L\nindicated = 5 L", "lines 4 and 5"},
      {"5 L", "5 L\ndistance-left = 30 km", "heel.distance-left: "},
      {"5 L", "5 L\nreserve = 3 L", "heel.reserve: "},
      {"indicated = 5 L", "distance-left = 30 km", "car.ini: heel.economy: is required"},
      {"indicated = 5 L", "economy = 8 L/100km", "car.ini: heel.distance-left: is required"},
      {"indicated = 5 L", "distance-left = 3000 km\neconomy = 8 L/100km", "car.ini:4: "},
      {"indicated = 5 L", "distance-left = 30 km\neconomy = 0 km/L", "car.ini:5: heel.economy: "},
      {"indicated = 5 L", "", "car.ini: heel.indicated: is required"},
      {"content = 10 %", "", "car.ini: heel.content: is required"},
      {"content = 75 %", "", "car.ini: fuel.content: is required"},
      {"capacity = 60 L", "", "car.ini: tank.capacity: is required"},
      {"minimum = 60 %", "", "car.ini: limits.minimum: is required"},
      {"10 %", "10 %\nreading = 10 %", "car.ini:6: heel.reading: "},
      {"75 %", "75 %\n[fill-3]\ncontent = 70 %", "car.ini:9: fill-3.content: there is no fill-2"},
      {"75 %", "75 %\n[fill-2]\namount = 9 L", "car.ini: fill-2.content: is required"},
      {"75 %", "75 %\n[fill-2]\ncontent = 70 %\nburn-first = 3 L\nindicated = 9 L",
       "car.ini:11: fill-2.indicated: "},
      {"75 %", "75 %\n[fill-2]\ncontent = 70 %\nindicated = 90 L", "fill-2.indicated: "},
      {"75 %", "75 %\n[engine]\nschedule = idle 4 min, gentle", "car.ini:9: engine.schedule: "},
      {"75 %", "75 %\n[engine]\nidle = 1 L/h\nschedule = idle 4 L, idle", "car.ini:10: "},
      {"75 %", "75 %\n[engine]\nidle = 1 L/h\nschedule = idle, idle", "car.ini:10: "},
      {"75 %", "75 %\n[engine]\nidle = 1 L/h\nschedule = race", "car.ini:10: "},
      {"75 %", "75 %\n[engine]\nidle = 1 L/h\nschedule = idle 0 s, idle", "car.ini:10: "},
      {"60 L", "60\x1b[31m L", "car.ini:2: "},
      {"60 L", std::string("60\0 L", 5), "car.ini:2: "},
      {"60 L", "60\xff L", "car.ini:2: "},
      {"60 L", "60 \xc3", "car.ini:2: "},
      {"60 L", std::string(20'000, 'x'), "car.ini:2: the line 'capacity = xxx"},
      {"capacity", std::string(9'000, 'k'), "car.ini:2: tank.kkk"},
      {"60 L", std::string(9'000, '9') + "z", "car.ini:2: tank.capacity: "},
      {"75 %", "normal(" + std::string(9'000, '('), "car.ini:7: fuel.content: "},
  };
  return cases;
}

class MalformedScenario : public ::testing::Test {
 protected:
  void expect_all_refused(const std::vector<BadText>& cases) {
    for (const BadText& bad : cases) {
      const std::string path = directory_.write("car.ini", replaced(bad.from, bad.to));
      expect_refused({"chance", path, "--cases", "64"}, bad.expected, bad.to.substr(0, 60));
    }
  }
  void expect_text_refused(const std::string& text, const std::string& expected) {
    expect_refused({"chance", directory_.write("car.ini", text)}, expected, text.substr(0, 40));
  }
  TemporaryDirectory directory_;
};

TEST_F(MalformedScenario, BadQuantitiesAreRefusedAtTheirPlace) {
  expect_all_refused(bad_quantities());
}
TEST_F(MalformedScenario, BadLawsAreRefusedAtTheirPlace) {
  expect_all_refused(bad_laws());
}
TEST_F(MalformedScenario, BadStructureIsRefusedAtItsPlace) {
  expect_all_refused(bad_structure());
}

TEST_F(MalformedScenario, WholeFilesThatAreNoScenarioAreRefused) {
  expect_text_refused("", "car.ini: is empty");
  expect_text_refused("\xEF\xBB\xBF \n\t\r\n", "car.ini: is empty");
  expect_text_refused("# only a comment\n", "car.ini: tank.capacity: is required");
  expect_text_refused(std::string(10'000'000, 'a'), "car.ini:1: the line 'aaaa");
  expect_text_refused(std::string("\x7f"
                                  "ELF\x02\x01\0\0\0",
                                  9),
                      "car.ini:1: ");
  std::string comments;
  while (comments.size() < 2'000'000) comments += "# a comment line of an endless file\n";
  expect_text_refused(comments, "car.ini: is larger than 1 MB");
}

TEST_F(MalformedScenario, PathsThatCannotBeReadAreRefused) {
  expect_refused({"chance", directory_.file("")}, "is a directory", "directory");
  expect_refused({"chance", directory_.file("no.ini")}, "no.ini: cannot be opened", "missing");
  expect_refused({"chance", "/dev/zero"}, "/dev/zero:1: ", "endless device");
  expect_refused({"chance", "/dev/null"}, "/dev/null: is empty", "empty device");
  expect_refused({"chance", directory_.file("new\nline.ini")}, "new\\x0aline.ini", "odd name");
}

TEST_F(MalformedScenario, BadCommandLinesAreRefused) {
  const std::string car = directory_.write("car.ini", k_good);
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases{
      {{}, "no command"},
      {{"chanse", car}, "nearest known name is chance"},
      {{"fil", car}, "nearest known name is fill"},
      {{""}, "unknown command"},
      {{"--json", "chance", car}, "the command comes first"},
      {{"chance"}, "no scenario"},
      {{"chance", ""}, "name is empty"},
      {{"chance", car, car}, "two scenarios"},
      {{"chance", car, "--jsn"}, "nearest known name is json"},
      {{"chance", car, "--prec", "1 %"}, "unknown option"},
      {{"chance", car, "-h"}, "unknown option"},
      {{"chance", car, "--json=yes"}, "json: takes no value"},
      {{"chance", car, "--seed"}, "seed: has no value"},
      {{"chance", car, "--seed", "-1"}, "--seed: "},
      {{"chance", car, "--seed", "1.5"}, "--seed: "},
      {{"chance", car, "--seed", "18446744073709551616"}, "--seed: "},
      {{"chance", car, "--seed", "1", "--seed", "2"}, "--seed: is given twice"},
      {{"chance", car, "--json", "--json"}, "--json: is given twice"},
      {{"chance", car, "--threads", "0"}, "--threads: "},
      {{"chance", car, "--threads", "99999"}, "--threads: "},
      {{"chance", car, "--precision", "1"}, "--precision: "},
      {{"chance", car, "--precision", "0 %"}, "--precision: "},
      {{"chance", car, "--precision", "100 %"}, "--precision: "},
      {{"chance", car, "--precision", "nan %"}, "--precision: "},
      {{"chance", car, "--cases", "31"}, "--cases: "},
      {{"chance", car, "--cases", "100.5"}, "--cases: "},
      {{"chance", car, "--cases", "1e99"}, "--cases: "},
      {{"chance", car, "--cases", "nan"}, "--cases: "},
      {{"chance", car, "--cases", "64", "--precision", "1 %"}, "--precision: is given beside"},
      {{"chance", car, "--method", "magic"}, "--method: "},
      {{"chance", car, "--units", "si"}, "--units: "},
      {{"chance", car, "--output", "x.csv"}, "--output: "},
      {{"chance", car, "--heel.indicatd", "4 L"}, "nearest known name is heel.indicated"},
      {{"chance", car, "--heel.indicated", "4"}, "blendrisk: --heel.indicated: "},
      {{"chance", car, "--heel.indicated", "-4 L"}, "blendrisk: --heel.indicated: "},
      {{"chance", car, "--heel.indicated", "4\n5 L"}, "blendrisk: --heel.indicated: "},
      {{"chance", car, "--heel.indicated", "4 L", "--heel.indicated", "5 L"}, "given twice"},
      {{"chance", car, "--heel.indicated", "4", "L"}, "two scenarios"},
      {{"chance", car, "--limits.maximum", "50 %"}, "limits.minimum: is not below"},
      {{"chance", car, "--bad\x1b[31m"}, "unknown option"},
      {{"chance", car, "--rows", "a=1"}, "--rows: is an option of table"},
      {{"fill", car, "--fill.amount", "banana"}, "fill.amount"},
      {{"heel", car, car}, "two scenarios"},
      {{"table", car}, "--rows and --columns are both needed"},
      {{"table", car, "--rows", "heel.indicated=1:3:1L"}, "both needed"},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "heel.indicated=1:3:1L"},
       "another key is accepted"},
      {{"table", car, "--rows", "heel.indicatd=1:3:1L", "--columns", "fuel.content=70:80:5%"},
       "nearest known name is heel.indicated"},
      {{"table", car, "--rows", "heel.indicated=1:300:100L", "--columns", "fuel.content=70:80:5%"},
       "--heel.indicated: "},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "fuel.content=70:80:5"},
       "has no unit"},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "fuel.content=70:80:5%",
        "--show", "all"},
       "--show: "},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "fuel.content=70:80:5%",
        "--part", "1/2"},
       "--part: needs --output"},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "fuel.content=70:80:5%",
        "--part", "3/2", "--output", "x.csv"},
       "--part: "},
      {{"table", car, "--rows", "heel.indicated=1:3:1L", "--columns", "fuel.content=70:80:5%",
        "--output", "x.svg"},
       "--output: "},
      {{"table", "--join", car}, "is no part of a table"},
      {{"table", "--join"}, "no scenario"},
      {{"new", "car.ini"}, "new: 'car.ini' is not accepted"},
      {{"new", "--heel.indicated", "4 L"}, "new: '--heel.indicated' is not accepted"},
      {{"new", "--back", "--back"}, "--back: is given twice"},
      {{"new", "--json"}, "--json: is an option of"},
      {{"chance", car, "--back"}, "--back: is an option of new"},
      {{"help", "chanse"}, "help: "},
      {{"help", "chance", "new"}, "help: "},
      {{"--version", "x"}, "--version: "},
  };
  for (const auto& [args, expected] : cases) {
    std::string which;
    for (const std::string& arg : args) which += arg + " ";
    expect_refused(args, expected, which);
  }
}

}  // namespace
}  // namespace blendrisk::cli
