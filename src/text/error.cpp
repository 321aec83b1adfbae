#include "text/error.hpp"

#include <utility>

#include "text/quoting.hpp"

namespace blendrisk::text {

std::string Place::head() const {
  std::string head;
  if (!source.empty()) {
    head += escaped(source) + (line == 0 ? "" : ":" + std::to_string(line));
    if (!included_by.empty()) head += " (included by " + escaped(included_by) + ")";
    head += ": ";
  }
  if (!key.empty()) head += escaped(key) + ": ";
  return head;
}

Error::Error(std::string what_is_wrong, std::string what_is_accepted, Place where, Fault whose)
    : std::runtime_error(where.head() + what_is_wrong +
                         (what_is_accepted.empty() ? "" : "; " + what_is_accepted)),
      wrong(std::move(what_is_wrong)),
      accepted(std::move(what_is_accepted)),
      place(std::move(where)),
      fault(whose) {}

Error seen_from(const Place& outer, const Error& error, const std::string& accepted) {
  Place place = error.place;
  std::string wrong = error.wrong;
  if (place.source.empty() && (place.key.empty() || outer.key.empty())) {
    place.source = outer.source;
    place.included_by = outer.included_by;
    if (place.line == 0) place.line = outer.line;
    if (place.key.empty()) place.key = outer.key;
  } else if (const std::string head = outer.head(); !head.empty()) {
    wrong = place.head() + wrong;
    place = outer;
  }
  return Error(wrong, error.accepted.empty() ? accepted : error.accepted, place, error.fault);
}

}  // namespace blendrisk::text
