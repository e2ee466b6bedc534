#include "server/report/html.hpp"

#include <sstream>

#include "server/report/xml_text.hpp"

namespace fixwright::report {

pugi::xml_node add_element(pugi::xml_node parent, const char* name, std::string_view text) {
  return add_text(parent, name, text);
}

pugi::xml_node with(pugi::xml_node element, const char* attribute, std::string_view value) {
  element.append_attribute(attribute).set_value(std::string(value).c_str());
  return element;
}

pugi::xml_node add_page(pugi::xml_document& document, const std::string& title,
                        std::string_view style) {
  pugi::xml_node root = with(document.append_child("html"), "lang", "en");
  pugi::xml_node head = root.append_child("head");
  with(head.append_child("meta"), "charset", "utf-8");
  with(with(head.append_child("meta"), "name", "viewport"), "content", "width=device-width");
  add_element(head, "title", title);
  add_element(head, "style", style);
  return root.append_child("body");
}

pugi::xml_node add_table(pugi::xml_node parent, const std::string& caption,
                         const std::vector<std::string>& header,
                         const std::vector<std::vector<std::string>>& rows) {
  pugi::xml_node table = parent.append_child("table");
  add_element(table, "caption", caption);
  pugi::xml_node head = table.append_child("thead").append_child("tr");
  for (const auto& cell : header) with(add_element(head, "th", cell), "scope", "col");
  pugi::xml_node body = table.append_child("tbody");
  for (const auto& row : rows) {
    pugi::xml_node line = body.append_child("tr");
    for (const auto& cell : row) add_element(line, "td", cell);
  }
  return table;
}

std::string html_text(const pugi::xml_document& document) {
  std::ostringstream text;
  text << "<!doctype html>\n";
  document.save(text, "",
                pugi::format_raw | pugi::format_no_declaration | pugi::format_no_empty_element_tags,
                pugi::encoding_utf8);
  std::string html = text.str() + "\n";
  constexpr std::string_view kNoEnd = "</meta>";  // HTML has none
  for (auto at = html.find(kNoEnd); at != std::string::npos; at = html.find(kNoEnd, at)) {
    html.erase(at, kNoEnd.size());
  }
  return html;
}

}  // namespace fixwright::report
