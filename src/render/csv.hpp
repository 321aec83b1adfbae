#pragma once

#include <optional>
#include <string>
#include <vector>

#include "answer/curve.hpp"
#include "answer/waiting.hpp"

/// Comma-separated text as of RFC 4180.
namespace blendrisk::render {

/// The first line of every file of data: the short caution as a comment.
std::string csv_caution();

/// Fields, quoted where a comma, a quote or a line break is inside, and a line break.
std::string csv_line(const std::vector<std::string>& fields);

/// The names of the columns of what a sweep shows. @param ends  whether both ends of what is within
/// the risk are told
void add_names(std::vector<std::string>& names, decide::Show show, bool ends);
/// The columns of one cell; of one that nothing satisfies the reason in place of a number.
void add(std::vector<std::string>& fields, const decide::Cell& cell, decide::Show show, bool ends);

/// The short caution as a comment, then one line a point, in inner units (litres, fractions,
/// seconds).
std::string curve_csv(const answer::CurveView& view);

/// The rows of the waiting table in the same way, `switch_by` reading; last what to burn without a
/// sensor, `switch_by` burned, where any is enough.
std::string waiting_csv(const decide::ArriveResult& result);

}  // namespace blendrisk::render
