#include "tests/e2e/network.hpp"

#include <fmt/core.h>
#include <signal.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <stdexcept>

namespace fixwright::e2e {

namespace {

constexpr std::chrono::seconds kPatience{60};  // a loaded machine may take its time

std::filesystem::path make_folder() {
  std::string pattern = (std::filesystem::temp_directory_path() / "fixwright-e2e-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("can't make " + pattern);
  return pattern;
}

int port_in(const std::filesystem::path& endpoints, const std::string& key) {
  std::ifstream file(endpoints);
  std::string line;
  while (std::getline(file, line)) {
    if (line.rfind(key + "=", 0) == 0) return std::stoi(line.substr(key.size() + 1));
  }
  throw std::runtime_error(key + " is not in " + endpoints.string());
}

}  // namespace

Network::Network(std::string server_toml)
    : folder_(make_folder()), server_toml_(std::move(server_toml)) {
  std::filesystem::create_directory(folder_ / "page");
  write_file(folder_ / "page" / "index.html", "<!doctype html><title>test</title>");
}

Network::~Network() {
  agents_.clear();
  server_.reset();
  std::filesystem::remove_all(folder_);
}

void Network::add_station(const std::string& name, GeoPoint position) {
  stations_.emplace(name, position);
}

void Network::add_vehicle(const std::string& name, GeoPoint position) {
  add_station(name, position);
  vehicles_.insert(name);
}

std::string Network::server_config() const {
  std::string toml = fmt::format(
      "[database]\nconnection = \"{}\"\n[rpc]\nlisten = \"127.0.0.1:{}\"\n"
      "[web]\nport = 0\npage_folder = \"{}\"\n{}\n",
      database_.writer(), rpc_port_, (folder_ / "page").string(), server_toml_);
  for (const auto& [name, position] : stations_) {
    toml += fmt::format(
        "[[station]]\nname = \"{}\"\nlatitude_deg = {:.10f}\nlongitude_deg = {:.10f}\n"
        "site_sigma_deg = 0\nkind = \"{}\"\n",
        name, position.latitude_deg, position.longitude_deg,
        vehicles_.contains(name) ? "vehicle" : "fixed");
  }
  return toml;
}

void Network::start_server() {
  write_file(folder_ / "server.toml", server_config());
  const std::filesystem::path endpoints = folder_ / "endpoints";
  std::filesystem::remove(endpoints);
  server_ = std::make_unique<Process>(
      std::vector<std::string>{FIXWRIGHT_SERVER, "--config", (folder_ / "server.toml").string(),
                               "--endpoints-file", endpoints.string()},
      folder_ / "server.log");
  const bool up = wait_until(kPatience, [&] {
    return std::filesystem::exists(endpoints) || server_->wait(std::chrono::seconds{0});
  });
  if (!up || !std::filesystem::exists(endpoints)) {
    throw std::runtime_error("the server did not start: " + server_->log());
  }
  rpc_port_ = port_in(endpoints, "rpc_port");
  web_port_ = port_in(endpoints, "web_port");
}

int Network::stop_server() {
  server_->signal(SIGTERM);
  return server_->wait(kPatience).value_or(-1);
}

std::string Network::server_log() const { return read_file(folder_ / "server.log"); }

Process& Network::launch(const std::string& station, const std::filesystem::path& base,
                         const std::string& source_toml, bool stays) {
  const auto file = [&](const char* ending) { return base.string() + ending; };
  write_file(file(".toml"),
             fmt::format("[server]\naddress = \"127.0.0.1:{}\"\n[station]\nname = \"{}\"\n"
                         "[spool]\npath = \"{}\"\n[clock]\nsource = \"fixed\"\nerror_s = 0.001\n"
                         "[source]\nstop_at_end = {}\n{}",
                         rpc_port_, station, file(".spool"), !stays, source_toml));
  agents_.push_back(std::make_unique<Process>(
      std::vector<std::string>{FIXWRIGHT_STATION, "--config", file(".toml")}, file(".log")));
  return *agents_.back();
}

Process& Network::start_agent(const std::string& station, const std::string& lines,
                              const std::string& source_toml, bool stays) {
  const std::filesystem::path base = folder_ / fmt::format("{}-{}", station, agents_.size());
  write_file(base.string() + ".txt", lines);
  return launch(station, base,
                fmt::format("kind = \"lines\"\n[source.lines]\ninput = \"file\"\npath = \"{}\"\n"
                            "follow = {}\n{}",
                            base.string() + ".txt", stays, source_toml),
                stays);
}

Process& Network::start_source(const std::string& station, const std::string& source_toml) {
  return launch(station, folder_ / fmt::format("{}-{}", station, agents_.size()), source_toml,
                false);
}

bool Network::wait_for_agents(std::chrono::seconds limit) {
  return std::all_of(agents_.begin(), agents_.end(),
                     [&](const auto& agent) { return agent->wait(limit) == 0; });
}

pqxx::result Network::sql(const std::string& statement) {
  pqxx::connection connection(database_.owner());
  pqxx::work work(connection);
  pqxx::result result = work.exec(statement);
  work.commit();
  return result;
}

}  // namespace fixwright::e2e
