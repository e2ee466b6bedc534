#pragma once
/// An investigation: a question, what belongs to it, and what came of it.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

struct CaseFile {
  std::int64_t id = 0;  // 1 and up, in the order in which they were opened
  TimePoint opened_at;  // by the database's clock
  std::string opened_by;
  std::string question;   // never empty
  std::string complaint;  // what was heard or disturbed, as it was told
  std::string alert;      // that it began with; empty: none
  TimePoint since, until;
  std::optional<double> frequency_hz;
  std::optional<GeoPoint> place;  // where it was noticed
  double radius_m = 0.0;          // with a place: emitters so near may matter, > 0
  std::optional<TimePoint> closed_at;
  std::string closed_by;
  std::string outcome;
};

struct CaseNote {
  TimePoint at;
  std::string by;
  std::string note;
};

struct CaseEmitter {
  EmitterKey emitter;
  std::string added_by;
  std::string why;
};

struct Case {
  CaseFile file;
  std::vector<CaseNote> notes;        // oldest first
  std::vector<CaseEmitter> emitters;  // in the order in which they were added
};

}  // namespace fixwright
