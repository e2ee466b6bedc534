/// How soon a new emitter shows: from the second station's bearing to a provisional fix in SQL,
/// and from the first bearing to a confirmed emitter. Real programs, one bearing a second from
/// each of three stations, a new frequency each round.
///
///     latency_bench [ROUNDS]        prints median and worst, in seconds
///
/// Needs the tests' cluster: run it by `ctest -C bench -R latency_bench -V`.

#include <fmt/core.h>
#include <signal.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <fstream>
#include <vector>

#include "server/base/clock.hpp"
#include "tests/e2e/network.hpp"

namespace {

using fixwright::SystemClock;
using Steady = std::chrono::steady_clock;

struct Site {
  const char* name;
  fixwright::GeoPoint position;
  double azimuth_deg;  // of the emitter, 33 km north of the middle
};

constexpr std::array<Site, 3> kSites{{{"WEST", {41.00, -150.50}, 48.5},
                                      {"SOUTH", {40.80, -150.20}, 0.0},
                                      {"EAST", {41.00, -149.90}, 311.5}}};

double since(Steady::time_point begin) {
  return std::chrono::duration<double>(Steady::now() - begin).count();
}

/// A direction finder would append a line like this to the file that the agent follows.
void say(const fixwright::e2e::Network& network, std::size_t site, double frequency_hz) {
  std::ofstream file(network.folder() / fmt::format("{}-{}.txt", kSites[site].name, site),
                     std::ios::app);
  file << fmt::format(
      "{{\"time\": \"{}\", \"frequency_hz\": {}, \"azimuth_deg\": {}, \"sigma_deg\": 1}}\n",
      fixwright::format_rfc3339(SystemClock{}.now(), 3), frequency_hz, kSites[site].azimuth_deg);
}

struct Round {
  double fix_s = 0.0;
  double confirmed_s = 0.0;
};

bool found(fixwright::e2e::Network& network, const std::string& table, double frequency_hz,
           const std::string& more) {
  return !network
              .sql(fmt::format("SELECT 1 FROM {} WHERE abs(frequency_hz - {}) < 100 AND {}", table,
                               frequency_hz, more))
              .empty();
}

Round play(fixwright::e2e::Network& network, double frequency_hz) {
  Round round;
  const auto first = Steady::now();
  auto second = first;
  double next_s = 0.0;
  for (int looks = 0; round.confirmed_s == 0.0 && looks < 3000; ++looks) {
    if (since(first) >= next_s) {
      for (std::size_t site = 0; site < kSites.size(); ++site) {
        say(network, site, frequency_hz);
        if (next_s == 0.0 && site == 1) second = Steady::now();
      }
      next_s += 1.0;
    }
    if (round.fix_s == 0.0 && found(network, "fix", frequency_hz, "refusal = 'none'")) {
      round.fix_s = since(second);
    }
    if (found(network, "emitter", frequency_hz, "state = 'confirmed'")) {
      round.confirmed_s = since(first);
    }
    fixwright::e2e::pause_briefly();
  }
  return round;
}

void print(const char* what, std::vector<double> values) {
  std::sort(values.begin(), values.end());
  fmt::print("{}: median {:.2f} s, worst {:.2f} s of {}\n", what, values[values.size() / 2],
             values.back(), values.size());
}

}  // namespace

int main(int argc, char** argv) {
  const int rounds = argc > 1 ? std::max(1, std::atoi(argv[1])) : 5;
  fixwright::e2e::Network network("");
  for (const Site& site : kSites) network.add_station(site.name, site.position);
  network.start_server();
  for (const Site& site : kSites) network.start_agent(site.name, "", "", true);
  std::vector<double> fix_s;
  std::vector<double> confirmed_s;
  for (int i = 0; i < rounds; ++i) {
    const Round round = play(network, 430e6 + 25'000.0 * i);
    if (round.fix_s == 0.0 || round.confirmed_s == 0.0) {
      fmt::print(stderr, "round {}: nothing was found in a minute\n{}\n", i, network.server_log());
      return 1;
    }
    fix_s.push_back(round.fix_s);
    confirmed_s.push_back(round.confirmed_s);
  }
  print("second station's bearing to a fix in SQL", fix_s);
  print("first bearing to a confirmed emitter", confirmed_s);
  return network.stop_server();
}
