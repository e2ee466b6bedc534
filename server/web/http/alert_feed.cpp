#include "server/web/http/alert_feed.hpp"

#include <algorithm>
#include <pugixml.hpp>
#include <sstream>

#include "server/base/text.hpp"
#include "server/web/http/cap.hpp"

namespace fixwright::web {

namespace {

constexpr auto kAtomNamespace = "http://www.w3.org/2005/Atom";

void add(pugi::xml_node parent, const char* name, const std::string& text) {
  parent.append_child(name).text().set(one_line(text).c_str());
}

TimePoint updated(const Alert& a) { return a.ended_at.value_or(a.raised_at); }

/// A tag (RFC 4151): the sender's address on the day of the alert, and the alert's identifier.
std::string entry_id(const Alert& a, const std::string& sender) {
  Alert whole = a;
  whole.ended_at.reset();  // an entry that is updated stays the same entry
  return "tag:" + sender + "," + format_rfc3339(a.raised_at, 0).substr(0, 10) + ":alert/" +
         cap_identifier(whole);
}

void add_entry(pugi::xml_node feed, const Alert& a, const std::string& sender,
               const StationNames& names) {
  pugi::xml_node entry = feed.append_child("entry");
  add(entry, "id", entry_id(a, sender));
  add(entry, "title", std::string(to_string(a.severity)) + ": " + a.message);
  add(entry, "updated", format_rfc3339(updated(a), 0));
  add(entry, "published", format_rfc3339(a.raised_at, 0));
  pugi::xml_node content = entry.append_child("content");
  content.append_attribute("type").set_value("application/cap+xml");
  add_cap(content, a, sender, names);
}

std::string text_of(const pugi::xml_document& document) {
  std::ostringstream text;
  document.save(text, "  ", pugi::format_default, pugi::encoding_utf8);
  return text.str();
}

/// Of XML 1.0, with its declaration.
void declare(pugi::xml_document& document) {
  pugi::xml_node declaration = document.append_child(pugi::node_declaration);
  declaration.append_attribute("version").set_value("1.0");
  declaration.append_attribute("encoding").set_value("UTF-8");
}

}  // namespace

std::string alert_feed(const std::vector<AlertView>& alerts, const std::string& sender,
                       const StationNames& names) {
  pugi::xml_document document;
  declare(document);
  pugi::xml_node feed = document.append_child("feed");
  feed.append_attribute("xmlns").set_value(kAtomNamespace);
  TimePoint newest{};
  for (const AlertView& view : alerts) newest = std::max(newest, updated(view.alert));
  add(feed, "id", "tag:" + sender + ",2000-01-01:alerts");
  add(feed, "title", "Alerts: evidence, never an accusation");
  add(feed, "updated", format_rfc3339(newest, 0));
  add(feed.append_child("author"), "name", sender);
  pugi::xml_node self = feed.append_child("link");
  self.append_attribute("rel").set_value("self");
  self.append_attribute("href").set_value("/alerts.atom");
  for (const AlertView& view : alerts) {
    if (!view.alert.muted) add_entry(feed, view.alert, sender, names);
  }
  return text_of(document);
}

std::string cap_document(const Alert& alert, const std::string& sender, const StationNames& names) {
  pugi::xml_document document;
  declare(document);
  add_cap(document, alert, sender, names);
  return text_of(document);
}

}  // namespace fixwright::web
