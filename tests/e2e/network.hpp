#pragma once
/// A whole network of real programs on loopback: one server with a database of its own, and
/// agents that read text of direction finders from files.

#include <filesystem>
#include <map>
#include <memory>
#include <pqxx/pqxx>
#include <set>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "tests/e2e/process.hpp"
#include "tests/support/database.hpp"

namespace fixwright::e2e {

class Network {
 public:
  /// \param server_toml  tables that are added to the server's configuration.
  explicit Network(std::string server_toml);
  ~Network();
  Network(const Network&) = delete;
  Network& operator=(const Network&) = delete;

  /// Before start_server(). Without a site sigma: bearings of tests are made, not received.
  void add_station(const std::string& name, GeoPoint position);

  /// The same, registered as a vehicle.
  void add_vehicle(const std::string& name, GeoPoint position);

  /// Starts it and waits until it listens. Throws with the server's log when it doesn't. The
  /// second time it listens on the same port, so that agents find it again.
  void start_server();
  /// SIGTERM, and waits. \return the exit code.
  int stop_server();
  Process& server() { return *server_; }
  [[nodiscard]] std::string server_log() const;
  [[nodiscard]] int rpc_port() const { return rpc_port_; }
  [[nodiscard]] int web_port() const { return web_port_; }

  /// Starts the agent of a station on lines of text; it ends by itself when all of them are
  /// acknowledged, unless it stays: then it waits for more lines.
  /// \param source_toml  tables below [source.lines].
  Process& start_agent(const std::string& station, const std::string& lines,
                       const std::string& source_toml, bool stays = false);
  /// Starts the agent of a station on any source; it ends by itself when the source has ended and
  /// all is acknowledged.
  /// \param source_toml  from the key kind of [source] on.
  Process& start_source(const std::string& station, const std::string& source_toml);
  /// Every agent has ended with 0.
  bool wait_for_agents(std::chrono::seconds limit);

  /// One statement, as the database's owner.
  pqxx::result sql(const std::string& statement);

  [[nodiscard]] std::filesystem::path folder() const { return folder_; }
  test::ScratchDatabase& database() { return database_; }

 private:
  [[nodiscard]] std::string server_config() const;
  Process& launch(const std::string& station, const std::filesystem::path& base,
                  const std::string& source_toml, bool stays);

  std::filesystem::path folder_;
  test::ScratchDatabase database_;
  std::string server_toml_;
  std::map<std::string, GeoPoint> stations_;
  std::set<std::string> vehicles_;
  int rpc_port_ = 0;
  int web_port_ = 0;
  std::unique_ptr<Process> server_;
  std::vector<std::unique_ptr<Process>> agents_;
};

}  // namespace fixwright::e2e
