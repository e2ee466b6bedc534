#pragma once
/// HTML from a tree of elements, so that no text can become markup.

#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace fixwright::report {

/// An element with a text below `parent`.
pugi::xml_node add_element(pugi::xml_node parent, const char* name, std::string_view text = "");
/// An attribute; \return the element.
pugi::xml_node with(pugi::xml_node element, const char* attribute, std::string_view value);

/// A page with its head. \return its body.
pugi::xml_node add_page(pugi::xml_document& document, const std::string& title,
                        std::string_view style);

/// A table with its header row; every row as long as the header.
pugi::xml_node add_table(pugi::xml_node parent, const std::string& caption,
                         const std::vector<std::string>& header,
                         const std::vector<std::vector<std::string>>& rows);

/// As a browser reads it: "<!doctype html>", an end tag where HTML has one.
std::string html_text(const pugi::xml_document& document);

}  // namespace fixwright::report
