#include "server/report/xml_text.hpp"

#include <sstream>

namespace fixwright::report {

pugi::xml_node add_text(pugi::xml_node parent, const char* name, std::string_view text) {
  std::string clean;
  for (const char c : text) {
    const auto code = static_cast<unsigned char>(c);
    if (code >= 0x20 || c == '\n' || c == '\t') clean += c;
  }
  pugi::xml_node node = parent.append_child(name);
  node.text().set(clean.c_str());
  return node;
}

pugi::xml_node begin_document(pugi::xml_document& document, const char* root) {
  pugi::xml_node declaration = document.append_child(pugi::node_declaration);
  declaration.append_attribute("version").set_value("1.0");
  declaration.append_attribute("encoding").set_value("UTF-8");
  return document.append_child(root);
}

std::string document_text(const pugi::xml_document& document) {
  std::ostringstream text;
  document.save(text, "  ", pugi::format_default, pugi::encoding_utf8);
  return text.str();
}

std::string utc_text(const std::string& rfc3339) {
  constexpr std::string_view kZero = "+00:00";
  if (!rfc3339.ends_with(kZero)) return rfc3339;
  return rfc3339.substr(0, rfc3339.size() - kZero.size()) + "Z";
}

}  // namespace fixwright::report
