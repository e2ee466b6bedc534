#pragma once
/// What the XML formats have in common.

#include <pugixml.hpp>
#include <string>
#include <string_view>

namespace fixwright::report {

/// An element with text; what XML can't carry (control characters) is left out.
pugi::xml_node add_text(pugi::xml_node parent, const char* name, std::string_view text);

/// A document of XML 1.0 in UTF-8, with its declaration and root element.
pugi::xml_node begin_document(pugi::xml_document& document, const char* root);

std::string document_text(const pugi::xml_document& document);

/// RFC 3339 at UTC with "Z", which xsd:dateTime is too: as the database writes it, "+00:00".
std::string utc_text(const std::string& rfc3339);

}  // namespace fixwright::report
