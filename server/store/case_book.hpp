#pragma once
/// Cases: written here, and read back.

#include <vector>

#include "server/base/result.hpp"
#include "server/model/case.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Each call is one transaction. What can't be kept is an Error of one line, and nothing is
/// written. Throws DatabaseAway (call again) or DatabaseRefused.
class CaseBook {
 public:
  explicit CaseBook(Database& database) : database_(database) {}

  /// Opens it, with the emitters that were heard in its stretch and, as far as it tells them, on
  /// its frequency (within 12.5 kHz) and within its radius. Without a frequency and a place, none.
  /// An alert gives its emitter. \param wish  its id and opened_at are ignored. \return the id.
  Result<std::int64_t> open(const CaseFile& wish, const std::vector<EmitterKey>& emitters);
  Result<bool> add(std::int64_t id, const CaseEmitter& emitter);
  Result<bool> note(std::int64_t id, const CaseNote& note);
  /// What is closed stays readable; nothing is added to it any more.
  Result<bool> close(std::int64_t id, const std::string& by, const std::string& outcome);

  /// Nothing when there is none. Reads the views: fixwright_reader may ask.
  std::optional<Case> read(std::int64_t id);
  /// The open ones first, then the newest.
  std::vector<CaseFile> list();

 private:
  Database& database_;
};

}  // namespace fixwright::store
