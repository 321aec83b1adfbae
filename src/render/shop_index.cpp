#include "render/shop_index.hpp"

#include <string_view>

#include "answer/words.hpp"
#include "render/guide_style.hpp"
#include "render/page.hpp"

namespace blendrisk::render {
namespace {

using answer::operator""_w;

/// {1} is the title, {2} what is below it, {3} the short caution, {4} the sections, {5} the title
/// and {6} the items of the cautions.
constexpr std::string_view k_index = R"html(<header>
<h1>{1}</h1>
{2}</header>
<main>
<p><strong>{3}</strong></p>
{4}<section aria-labelledby="cautions">
<h2 id="cautions">{5}</h2>
{6}</section>
</main>
)html";

/// Links as large as a thumb needs, and seen when the keyboard is at them.
constexpr std::string_view k_index_style = R"css(
table.guides th,table.guides td{text-align:left;width:33%}
table.guides a{display:inline-block;min-height:1.5rem;color:inherit}
table.guides a:focus-visible{outline:3px solid var(--mark);outline-offset:2px}
[aria-labelledby=cautions]{break-before:auto!important}
)css";

}  // namespace

std::string shop_index(const answer::ShopIndex& index, answer::UnitSystem units) {
  std::string sections;
  std::size_t number = 0;
  for (const answer::IndexSection& car : index.cars) {
    const std::string id = "car-" + std::to_string(++number);
    sections += "<section aria-labelledby=\"" + id + "\">\n<h2 id=\"" + id + "\">" +
                html(car.heading) + "</h2>\n" + blocks({car.table}, units) + "</section>\n";
  }
  const answer::Block about{.style = "soft", .values = {index.about}};
  const std::string title = html(index.title);
  return document(
      title, std::string(k_guide_style) + std::string(k_index_style), {},
      answer::filled(k_index, {title, blocks({about}, units), html("caution.short"_w), sections,
                               html("guide.cautions.title"_w), blocks({index.cautions}, units)}));
}

}  // namespace blendrisk::render
