#include "tests/support/database.hpp"

#include <unistd.h>

#include <atomic>
#include <cstdlib>
#include <fstream>
#include <pqxx/pqxx>
#include <stdexcept>

namespace fixwright::test {

namespace {

std::string server_of_fixture() {
  const char* const state = std::getenv("FIXWRIGHT_TEST_CLUSTER");
  if (state == nullptr) {
    throw std::runtime_error(
        "FIXWRIGHT_TEST_CLUSTER is not set: run this test by ctest, or start a cluster with "
        "tests/support/test_cluster.sh start FILE and set it to FILE");
  }
  std::ifstream file(state);
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("server=")) return line.substr(7);
  }
  throw std::runtime_error(std::string(state) +
                           " names no running cluster: run this test by ctest");
}

std::string fresh_name() {
  static std::atomic<int> count = 0;
  return "test_" + std::to_string(getpid()) + "_" + std::to_string(++count);
}

}  // namespace

ScratchDatabase::ScratchDatabase(const std::string& copy_of)
    : server_(server_of_fixture()), name_(fresh_name()) {
  pqxx::connection connection(server_ + " dbname=postgres user=fixwright_owner");
  pqxx::nontransaction tx(connection);
  // Left by a test program that died and had the same process number.
  tx.exec("DROP DATABASE IF EXISTS " + tx.quote_name(name_) + " WITH (FORCE)");
  tx.exec("CREATE DATABASE " + tx.quote_name(name_) + " TEMPLATE " + tx.quote_name(copy_of));
}

ScratchDatabase::~ScratchDatabase() {
  try {
    pqxx::connection connection(server_ + " dbname=postgres user=fixwright_owner");
    pqxx::nontransaction tx(connection);
    tx.exec("DROP DATABASE IF EXISTS " + tx.quote_name(name_) + " WITH (FORCE)");
  } catch (const std::exception&) {
    // The cluster goes as a whole at the end of the run.
  }
}

std::string ScratchDatabase::as(const std::string& role) const {
  return server_ + " dbname=" + name_ + " user=" + role;
}

}  // namespace fixwright::test
