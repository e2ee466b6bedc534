#pragma once
/// A database of one's own for a test: migrated, empty, gone afterwards.

#include <string>

namespace fixwright::test {

/// Copies the template of the cluster that CTest's fixture db_cluster started; register the
/// test with fixwright_db_test(). Throws std::runtime_error, with what to do, when there is no
/// such cluster. Other tests' databases share the cluster: roles and settings are common.
class ScratchDatabase {
 public:
  ScratchDatabase() : ScratchDatabase("fixwright_template") {}
  ScratchDatabase(const ScratchDatabase&) = delete;
  ScratchDatabase& operator=(const ScratchDatabase&) = delete;
  ~ScratchDatabase();  // whoever is still connected is cut off

  /// One without tables: for migrations.
  static ScratchDatabase empty() { return ScratchDatabase("template0"); }

  /// libpq connection strings: as the server, as people, as the owner (a superuser).
  [[nodiscard]] std::string writer() const { return as("fixwright_writer"); }
  [[nodiscard]] std::string reader() const { return as("fixwright_reader"); }
  [[nodiscard]] std::string owner() const { return as("fixwright_owner"); }

 private:
  explicit ScratchDatabase(const std::string& copy_of);
  [[nodiscard]] std::string as(const std::string& role) const;

  std::string server_;  // "host=... port=..."
  std::string name_;
};

}  // namespace fixwright::test
