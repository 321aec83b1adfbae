#include "render/live.hpp"

#include "answer/words.hpp"
#include "render/page.hpp"

namespace blendrisk::render {
namespace {

using answer::LiveField;
using answer::operator""_w;

constexpr const char* k_live_style = R"css(
[hidden]{display:none!important}
.field{margin:.6rem 0}
.field label{display:block;font-weight:600}
.field input,.field select{font:inherit;width:100%;min-height:2.75rem;padding:.4rem .5rem;color:var(--ink);
background:var(--paper);border:2px solid var(--soft);border-radius:.3rem}
input[aria-invalid=true],select[aria-invalid=true]{border-color:var(--mark);border-style:dashed}
button{font:inherit;min-height:2.75rem;padding:.4rem .9rem;color:var(--ink);background:var(--band);
border:2px solid var(--soft);border-radius:.3rem}
:focus-visible{outline:3px solid var(--mark);outline-offset:2px}
.error{color:var(--mark);font-weight:600}
.error:empty{display:none}
.big{font-size:1.6rem;line-height:1.3;font-weight:600}
.verdict{font-size:2rem;font-weight:700;padding:.6rem .8rem;border:.3rem solid currentcolor;text-align:center}
.verdict.stay{border-style:double;border-width:.6rem}
fieldset{border:1px solid var(--line);margin:1rem 0;min-width:0}
#readings li{margin:.4rem 0}
pre{overflow-x:auto}
)css";

std::string attribute(const char* name, const std::string& value) {
  return std::string(" ") + name + "=\"" + html(value) + "\"";
}

/// Fields are told apart by a prefix: one key may stand in two places.
std::string field(const LiveField& one, const std::string& prefix) {
  const std::string id = prefix + "-" + one.key;
  const std::string shared = attribute("id", id) + attribute("data-key", one.key) +
                             attribute("data-start", one.value) +
                             attribute("aria-describedby", id + "-error");
  std::string text = "<div class=\"field\"><label" + attribute("for", id) + ">" +
                     html(answer::shown(one.label)) + "</label>";
  if (one.choices.empty()) {
    text +=
        "<input type=\"text\" autocomplete=\"off\" autocapitalize=\"off\" spellcheck=\"false\"" +
        shared + attribute("value", one.value) + attribute("placeholder", one.fallback) + ">";
  } else {
    text += "<select" + shared + ">";
    for (const std::string& choice : one.choices) {
      text += std::string("<option") + (choice == one.value ? " selected" : "") +
              attribute("value", choice) + ">" +
              (choice.empty() ? "&ndash;" : html(answer::words("live.choice." + choice))) +
              "</option>";
    }
    text += "</select>";
  }
  return text + "<div class=\"error\" lang=\"en\"" + attribute("id", id + "-error") +
         "></div></div>\n";
}

std::string fields(const std::vector<LiveField>& all, const std::string& prefix) {
  std::string text;
  for (const LiveField& one : all) text += field(one, prefix);
  return text;
}

std::string opened(const std::string& id, const std::string& title) {
  return "<section class=\"live\" hidden" + attribute("id", id + "-part") +
         attribute("aria-labelledby", id) + ">\n<h2" + attribute("id", id) + ">" + html(title) +
         "</h2>\n";
}

std::string output(const std::string& id) {
  return "<div aria-live=\"polite\"" + attribute("id", id) + "></div>\n";
}

std::string button(const std::string& id, const std::string& words) {
  return "<button type=\"button\"" + attribute("id", id) + ">" + html(words) + "</button>\n";
}

std::string plain_field(const std::string& id, const std::string& words) {
  return "<div class=\"field\"><label" + attribute("for", id) + ">" + html(words) +
         "</label><input type=\"text\" autocomplete=\"off\" spellcheck=\"false\"" +
         attribute("id", id) + attribute("aria-describedby", "reading-error") + "></div>\n";
}

std::string pump(const LiveParts& parts) {
  return opened("pump", "live.pump.title"_w) + "<p class=\"hint\">" + html("live.pump.about"_w) +
         "</p>\n<form>\n" + fields(parts.pump, "pump") +
         "</form>\n<div class=\"error\" id=\"general\" lang=\"en\" role=\"alert\"></div>\n" +
         output("legs") + output("plan") + output("chance") + "<form>\n<h3>" +
         html("live.done.title"_w) + "</h3>\n" + fields(parts.done, "done") +
         "</form>\n<p class=\"soft hint\">" + html("live.link"_w) + "</p>\n</section>\n";
}

std::string road() {
  return opened("road", "live.road.title"_w) + output("odds") + "<form id=\"reading-form\">\n<p>" +
         html("live.road.about"_w) + "</p>\n" + plain_field("reading-when", "live.reading.when"_w) +
         plain_field("reading-what", "live.reading.what"_w) +
         "<div class=\"error\" id=\"reading-error\" lang=\"en\" role=\"alert\"></div>\n"
         "<button type=\"submit\">" +
         html("live.reading.add"_w) + "</button>\n</form>\n<div id=\"readings-part\" hidden><h3>" +
         html("live.readings"_w) + "</h3>\n<ul id=\"readings\"></ul></div>\n" + output("waiting") +
         "</section>\n";
}

std::string workshop(const LiveParts& parts) {
  std::string text = opened("workshop", "live.workshop.title"_w) +
                     "<details id=\"workshop-details\">\n<summary>" + html("live.workshop.what"_w) +
                     "</summary>\n<form>\n";
  for (const answer::LiveSection& section : parts.all) {
    text += "<fieldset><legend>" +
            (section.name.empty() ? html("live.workshop.title_section"_w)
                                  : "<code>[" + html(section.name) + "]</code>") +
            "</legend>\n" + fields(section.fields, "all") + "</fieldset>\n";
  }
  return text + "</form>\n<h3>" + html("live.answers"_w) + "</h3>\n" + output("answers") +
         "</details>\n<div id=\"copies\">\n" + button("as-scenario", "live.copy.scenario"_w) +
         button("as-command", "live.copy.command"_w) +
         "<pre id=\"copy\" tabindex=\"0\" hidden></pre>\n</div>\n</section>\n";
}

}  // namespace

std::string live_page(const answer::Page& page, answer::UnitSystem units, const LiveParts& parts) {
  const Around around{
      .head =
          "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
          "style-src 'unsafe-inline'; script-src 'unsafe-inline' 'wasm-unsafe-eval'; "
          "img-src data:; worker-src blob:\">\n<style>" +
          std::string(k_live_style) + "</style>\n",
      .before = pump(parts) + road() + "<p class=\"warn\" id=\"stale\" hidden>" +
                html("live.stale"_w) + "</p>\n<p class=\"warn\" id=\"broken\" hidden>" +
                html("live.broken"_w) + "</p>\n",
      .after = workshop(parts),
      .end = "<script type=\"application/json\" id=\"start\">" + parts.start +
             "</script>\n<script type=\"text/plain\" id=\"module\">" + std::string(parts.module) +
             "</script>\n<script id=\"opening\">" + std::string(parts.opening) +
             "</script>\n<script>" + std::string(parts.script) + "</script>\n"};
  return render::page(page, units, around);
}

std::map<std::string, std::string> live_words() {
  std::map<std::string, std::string> all;
  for (const char* id : {"live.computing", "live.reading.remove", "live.no_reading", "live.not_yet",
                         "live.answer.chance", "live.answer.fill", "live.answer.heel",
                         "live.answer.arrive", "live.answer.update"}) {
    all[id] = answer::words(id);
  }
  return all;
}

}  // namespace blendrisk::render
