#include "cli/shop_guides.hpp"

#include <csignal>
#include <filesystem>
#include <set>

#include "answer/shop_index.hpp"
#include "answer/shop_table.hpp"
#include "answer/words.hpp"
#include "cli/answering.hpp"
#include "cli/guide_page.hpp"
#include "cli/pending_directory.hpp"
#include "cli/shop_grid.hpp"
#include "render/shop_index.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_most_guides = 10'000;

/// The name of a file as a part of another that needs no quotes anywhere.
std::string plain_stem(const std::string& path) {
  std::string stem = std::filesystem::path(path).stem().string();
  for (char& c : stem) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '_';
    if (!plain) c = '-';
  }
  return stem.substr(0, 60);
}

/// Makes the guides one by one.
class ShopGuides {
 public:
  ShopGuides(const ShopGrid& grid, const Arguments& arguments, PendingDirectory& directory)
      : grid_(grid), arguments_(arguments), directory_(directory), date_(date_today()) {}

  void make(std::size_t car, std::size_t pump) {
    const std::string& title = grid_.cars()[car].title;
    const std::string& of_pump = grid_.pumps()[pump].title;
    const std::string name =
        free_name(plain_stem(grid_.cars()[car].path) + "-" + plain_stem(grid_.pumps()[pump].path));
    try {
      all_.push_back(written(car, pump, name));
      ++made_;
    } catch (const Error& error) {
      if (error.fault != text::Fault::input) throw;
      add_refused(title, of_pump, error.what());
    } catch (const estimate::ImpossibleScenario& error) {
      add_refused(title, of_pump, answer::reason(error));
    }
  }

  std::string index() const {
    const answer::Speaking speaking(answer::words_of(*arguments_.language));
    return render::shop_index(
        answer::shop_index(answer::shop_title(grid_.cars().size(), grid_.pumps().size()), date_,
                           all_),
        arguments_.units);
  }

  answer::Value told(const std::string& path) const {
    const answer::Value count = answer::count(made_);
    if (made_ == all_.size()) return answer::say("shop.guides", count, answer::text(path));
    return answer::say("shop.guides.without", count, answer::text(path),
                       answer::count(all_.size() - made_));
  }

 private:
  answer::ShopGuide written(std::size_t car, std::size_t pump, const std::string& name) {
    std::vector<scenario::Entry> entries = grid_.entries_of(car, pump);
    const std::string& of_pump = grid_.pumps()[pump].title;
    for (scenario::Entry& entry : entries) {
      if (entry.key != "title") continue;
      entry.value =
          answer::shown(answer::say("shop.pair", answer::text(entry.value), answer::text(of_pump)));
    }
    std::map<std::string, std::string> data;
    const scenario::Scenario scenario = scenario::read(
        grid_.name_of(car, pump), entries, arguments_.overrides, data_beside({}, &data));
    const answer::Asked asked{scenario, arguments_.options, arguments_.units};
    const ask::GuideSource source{name + ".ini", scenario::ini_text(entries), date_,
                                  arguments_.overrides};
    const GuidePage page = guide_page(asked, source, data, arguments_);
    directory_.write(name + ".html", page.html);
    answer::ShopGuide told = answer::shop_guide(scenario, of_pump, page.guide, name + ".html");
    told.car = grid_.cars()[car].title;
    return told;
  }

  void add_refused(const std::string& car, const std::string& pump, const std::string& why) {
    answer::ShopGuide guide;
    guide.car = car;
    guide.pump = pump;
    guide.refused = why;
    all_.push_back(std::move(guide));
  }

  /// As it is, or with a number behind it where files of several directories have one name.
  std::string free_name(const std::string& name) {
    std::string free = name;
    for (int n = 2; free == "index" || !names_.insert(free).second; ++n) {
      free = name + "-" + std::to_string(n);
    }
    return free;
  }

  const ShopGrid& grid_;
  const Arguments& arguments_;
  PendingDirectory& directory_;
  std::string date_;
  std::set<std::string> names_;
  std::vector<answer::ShopGuide> all_;
  std::size_t made_ = 0;
};

}  // namespace

Answer answer_shop_guides(const Call& call) {
  const Arguments& arguments = call.arguments;
  const ShopGrid grid(arguments);
  const decide::GridShape shape = grid.shape();
  require_at_most(call, k_most_guides, "cars with pumps", shape.cells());
  grid.checked(arguments.overrides);
  // A signal that would end the program ends the work, so that the directory goes with it.
  const InterruptGuard guard({SIGINT, SIGTERM, SIGHUP});
  PendingDirectory directory(arguments.output);
  ShopGuides guides(grid, arguments, directory);
  {
    ProgressLine line(call.err);
    for (std::size_t i = 0; i < shape.cells(); ++i) {
      line.show(i, shape.cells(), "guides");
      guides.make(shape.row_of(i), shape.column_of(i));
      InterruptGuard::check();
    }
  }
  directory.write("index.html", guides.index());
  directory.finish();
  const std::string index = (std::filesystem::path(arguments.output) / "index.html").string();
  std::vector<answer::Paragraph> more{{guides.told(index)}};
  for (answer::Paragraph& note : static_note(arguments)) more.push_back(std::move(note));
  return {render::written_text(arguments.output, more, arguments.units)};
}

}  // namespace blendrisk::cli
