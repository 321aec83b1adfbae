#include "cli/shop_grid.hpp"

#include <glob.h>

#include <algorithm>
#include <filesystem>

#include "cli/scenario_file.hpp"
#include "text/quoting.hpp"

namespace blendrisk::cli {
namespace {

constexpr std::size_t k_most_files = 10'000;

std::string file_name(const std::string& path) {
  return std::filesystem::path(path).filename().string();
}

/// "cars/" of "cars/van.ini".
std::string folder_of(const std::string& path) {
  return path.substr(0, path.find_last_of('/') + 1);
}

/// Titles that several share are told apart by the names of the files, or by their paths.
void tell_apart(std::vector<ShopFile>& files) {
  const auto shared = [&](const ShopFile& file) {
    return std::ranges::count(files, file.title, &ShopFile::title) > 1;
  };
  for (const auto& part : {file_name, +[](const std::string& path) { return path; }}) {
    std::vector<bool> told(files.size());
    for (std::size_t i = 0; i < files.size(); ++i) told[i] = shared(files[i]);
    for (std::size_t i = 0; i < files.size(); ++i) {
      if (told[i]) files[i].title += " (" + part(files[i].path) + ")";
    }
  }
}

std::vector<ShopFile> read_files(const std::vector<std::string>& patterns,
                                 const std::string& option,
                                 const std::vector<std::string>& title_keys) {
  std::vector<ShopFile> files;
  for (const std::string& pattern : patterns) {
    for (const std::string& path : files_of(pattern, option)) {
      if (std::ranges::count(files, path, &ShopFile::path) > 0) {
        throw Error(text::in_quotes(path) + " is given twice", "once is accepted", {"--" + option});
      }
      if (files.size() == k_most_files) {
        throw Error("names more than 10000 files", "fewer are accepted", {"--" + option});
      }
      ShopFile file{path, {}, lines_of_file(path, folder_of(path)).entries};
      for (const std::string& key : title_keys) {
        if (file.title.empty()) file.title = scenario::value_of(file.entries, key);
      }
      if (file.title.empty()) file.title = file_name(path);
      files.push_back(std::move(file));
    }
  }
  tell_apart(files);
  return files;
}

}  // namespace

std::vector<std::string> files_of(const std::string& pattern, const std::string& option) {
  if (pattern.find_first_of("*?[") == std::string::npos) return {pattern};
  glob_t found{};
  const int code = ::glob(pattern.c_str(), GLOB_NOSORT, nullptr, &found);
  std::vector<std::string> paths;
  if (code == 0) paths.assign(found.gl_pathv, found.gl_pathv + found.gl_pathc);
  ::globfree(&found);
  // A file may be called so.
  std::error_code ignored;
  if (paths.empty() && std::filesystem::exists(pattern, ignored)) return {pattern};
  if (paths.empty()) {
    throw Error(text::in_quotes(pattern) + " finds no file",
                "scenario files such as '" + option + "/*.ini' are accepted", {"--" + option});
  }
  std::ranges::sort(paths);
  return paths;
}

ShopGrid::ShopGrid(const Arguments& arguments)
    : cars_(read_files(arguments.cars, "cars", {"title"})),
      pumps_(read_files(arguments.pumps, "pumps", {"fuel.title", "title"})) {
  // A pump's own title is not the car's.
  for (ShopFile& pump : pumps_) {
    std::erase_if(pump.entries, [](const scenario::Entry& one) {
      return one.key == "title" || one.key == "fuel.title";
    });
    pump.entries.push_back({"fuel.title", pump.title, {pump.path, 0, "fuel.title"}});
  }
  for (ShopFile& car : cars_) {
    std::erase_if(car.entries, [](const scenario::Entry& one) { return one.key == "title"; });
    car.entries.insert(car.entries.begin(), {"title", car.title, {car.path, 0, "title"}});
  }
}

std::string ShopGrid::name_of(std::size_t car, std::size_t pump) const {
  return cars_[car].path + " with " + pumps_[pump].path;
}

std::vector<scenario::Entry> ShopGrid::entries_of(std::size_t car, std::size_t pump) const {
  return scenario::laid_over(cars_[car].entries, pumps_[pump].entries);
}

std::vector<std::optional<double>> ShopGrid::checked(
    const std::vector<scenario::Override>& overrides) const {
  const decide::GridShape grid = shape();
  std::vector<std::optional<double>> risks(grid.cells());
  std::vector<std::optional<Error>> errors(grid.cells());
  for (std::size_t i = 0; i < grid.cells(); ++i) {
    try {
      risks[i] = scenario_of(grid.row_of(i), grid.column_of(i), overrides).limits.accepted_risk;
    } catch (const Error& error) {
      errors[i] = error;
    }
  }
  const auto require_any = [&](std::size_t from, std::size_t step, std::size_t count) {
    std::size_t bad = 0;
    for (std::size_t k = 0; k < count; ++k) bad += errors[from + k * step] ? 1 : 0;
    if (bad == count) throw *errors[from];
  };
  for (std::size_t car = 0; car < cars_.size(); ++car) {
    require_any(grid.cell_at(car, 0), 1, pumps_.size());
  }
  for (std::size_t pump = 0; pump < pumps_.size(); ++pump) {
    require_any(pump, pumps_.size(), cars_.size());
  }
  return risks;
}

scenario::Scenario ShopGrid::scenario_of(std::size_t car, std::size_t pump,
                                         const std::vector<scenario::Override>& overrides,
                                         std::map<std::string, std::string>* data) const {
  return scenario::read(name_of(car, pump), entries_of(car, pump), overrides,
                        data_beside({}, data));
}

}  // namespace blendrisk::cli
