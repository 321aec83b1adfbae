#pragma once

#include <map>
#include <string>
#include <vector>

#include "answer/curve.hpp"
#include "decide/guide.hpp"

/// What the customer's guide says, as sections of a page. Numbers that chance, fill, heel, arrive
/// and table give as JSON carry where they come from. Words of it are markup.
namespace blendrisk::answer {

/// What the page says beside the numbers.
struct GuideSources {
  std::string scenario_name;                 ///< "sedan.ini"
  std::string scenario_text;                 ///< as it is, to make the page again
  std::vector<scenario::Given> overrides;    ///< keys given on the command line
  std::map<std::string, std::string> notes;  ///< by key: what the scenario says of a value's source
  std::string date;                          ///< "2031-05-04"
};

struct Block {
  enum class Kind { paragraph, steps, items, table, picture } kind = Kind::paragraph;
  std::string style{};          ///< its class, or none
  std::vector<Value> values{};  ///< one, or one an item; of a table: its caption, if any
  /// Of a table: its head, and its rows, each with a head of its own.
  std::vector<Value> head{};
  std::vector<std::vector<Value>> rows{};
  /// Of a picture: as SVG, what it shows for those who cannot see it; its caption is a value.
  std::string svg{}, alt{};
};

struct PageSection {
  std::string id;  ///< its heading is "guide.ID.title"
  std::vector<Block> blocks{};
  bool warning = false;
};

struct Page {
  std::string title;
  Value about;  ///< below the title
  std::vector<PageSection> sections;
  std::string command, scenario;  ///< to make it again
};

/// Pictures with what they show; those that are not there are left out.
struct GuidePictures {
  std::string risk_svg{}, risk_alt{};
  std::string rail_svg{}, rail_alt{};
};

/// The risk curve of the page, along heel.indicated.
CurveView guide_curve(const scenario::Scenario& scenario, const decide::Guide& guide);

Page page(const Asked& asked, const decide::Guide& guide, const GuideSources& sources,
          const GuidePictures& pictures);

/// Parts of it.
PageSection guide_steps(const Asked& asked, const decide::Guide& guide);
PageSection guide_amounts(const Asked& asked, const decide::Guide& guide);

/// How to wait once filled, and what the sensor has to show by when. @pre of the table: it has rows
Value waiting_step(const Asked& asked, const decide::ArriveResult& arrive);
Block waiting_table(const line::Arrival& arrival, const decide::WaitingTable& table);

/// The steps of several fills from the first to driving on to the last, two a leg.
std::vector<Value> leg_steps(const Asked& asked, const decide::Guide& guide);
/// Why a leg cannot be driven, one a leg.
std::vector<Value> leg_reasons(const decide::Guide& guide);

/// "Fill 2 of 3.", nothing where there is only one.
Value fill_of(const Asked& asked, std::size_t fill);
/// `id`, of several fills `id`.several.
std::string of_fills(const Asked& asked, const std::string& id);
/// Whether the engine is on the new calibration before the last fill.
bool has_changed(const decide::Guide& guide);

/// A reading in the plan, to what the gauge can show or finer where the plan is.
Value planned_reading(const Asked& asked, double reading_l);
/// The first, at the pump.
Value planned_reading(const Asked& asked);

/// A reading of `heel` with where it has it.
Value heel_reading(const std::string& member, double reading_l);

/// "18.87 to 22.52 L", the amounts that `fill` allows; there has to be one.
Value fill_amounts(const decide::FillResult& fill);

}  // namespace blendrisk::answer
