#include <string>

#include "ask/request.hpp"

/// What the module of the page exports: a request goes in and an answer comes out, both UTF-8 as
/// ask::answered has them, in memory that the module owns and uses again for the next.
namespace {

std::string& request() {
  static std::string text;
  return text;
}

}  // namespace

extern "C" {

/// Where a request of `size` bytes is to be written.
char* blendrisk_room(unsigned size) {
  request().resize(size);
  return request().data();
}

/// The answer to what was written there, ended by a zero.
const char* blendrisk_answer() {
  static std::string answer;
  answer = blendrisk::ask::answered(request());
  return answer.c_str();
}
}
