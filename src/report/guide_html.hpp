#pragma once

#include <map>
#include <string>

#include "decide/guide.hpp"
#include "report/curve_text.hpp"
#include "report/format.hpp"

/// The customer's guide: one HTML page that needs no network and no script.
namespace blendrisk::report {

/// What the page says beside the numbers.
struct GuideSources {
  std::string scenario_name;                 ///< "sedan.ini"
  std::string scenario_text;                 ///< as it is, to make the page again
  std::vector<scenario::Given> overrides;    ///< keys given on the command line
  std::map<std::string, std::string> notes;  ///< by key: what the scenario says of a value's source
  std::string date;                          ///< "2031-05-04"
};

/// Pictures as SVG text; empty ones are left out.
struct GuidePictures {
  std::string risk_svg, rail_svg;
};

/// The risk curve of the page, along heel.indicated.
CurveView guide_curve(const scenario::Scenario& scenario, const decide::Guide& guide);

/// The page. Every number that the commands chance, fill, heel, arrive and table give as JSON
/// stands in a `data` element with that value and the name of where it comes from.
std::string guide_html(const scenario::Scenario& scenario, const decide::Guide& guide,
                       const GuideSources& sources, const GuidePictures& pictures,
                       const std::string& risk_alt, const std::string& rail_alt,
                       const estimate::Options& options, UnitSystem units);

}  // namespace blendrisk::report
