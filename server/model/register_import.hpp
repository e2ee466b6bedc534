#pragma once
/// The register over time: what an import changes, and what was kept of it.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/model/licence.hpp"

namespace fixwright {

struct LicenceChange {
  Licence before;
  Licence after;
};

/// From the register as it is to the one of a file.
struct RegisterDifference {
  std::vector<Licence> added;
  std::vector<LicenceChange> changed;
  std::vector<Licence> ended;  // in the file no more
  std::size_t unchanged = 0;
};

/// One import, as it is kept.
struct RegisterImport {
  std::int64_t id = 0;  // 1 and up; 0: before imports were kept
  TimePoint at;
  std::string source;  // name of the file
  std::size_t added = 0;
  std::size_t changed = 0;
  std::size_t ended = 0;
  std::size_t unchanged = 0;
  std::size_t refused = 0;  // rows
};

/// One version of an entry: from an import until the one that changed or ended it.
struct LicenceVersion {
  Licence licence;
  std::int64_t from_import = 0;
  std::optional<std::int64_t> until_import = {};  // none: it stands
  std::optional<TimePoint> until_at = {};
  bool ended = false;  // else it was changed, where until_import is
};

/// A person's word on an emitter, against or beside the register's.
struct RegisterOpinion {
  EmitterKey emitter;
  std::optional<RegisterVerdict> verdict = {};  // none: as the register says
  std::optional<std::string> licence = {};      // the entry it is, as far as the person knows
  std::string note = {};
  std::string by = {};
  TimePoint at = {};
};

}  // namespace fixwright
