#pragma once
/// The stations' sessions: who may open one, what becomes of each batch. Implements the port of
/// the uplink service over admission, the writer and the pipeline.

#include <atomic>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "server/app/bearing_writer.hpp"
#include "server/app/server_config.hpp"
#include "server/app/station_board.hpp"
#include "server/base/clock.hpp"
#include "server/base/metrics.hpp"
#include "server/ingest/admission.hpp"
#include "server/model/bearing_log.hpp"
#include "server/rpc/station_port.hpp"

namespace fixwright::app {

class StationSessions final : public rpc::StationPort {
 public:
  struct Parts {
    const ingest::ChannelMap& channels;
    BearingLog& log;
    BearingWriter& writer;
    StationBoard& board;
    const Clock& clock;
    Metrics& metrics;
    std::function<void(const Heartbeat&)> heartbeat;  // to the pipeline
  };

  StationSessions(const Stations& stations, const IngestConfig& config, Duration keepalive,
                  Parts parts);
  ~StationSessions() override;

  std::variant<rpc::Grant, rpc::OpenDenied> open(const rpc::HelloRequest& hello) override;
  void submit(rpc::SessionId session, std::vector<Bearing> bearings,
              std::function<void(rpc::BatchOutcome)> done) override;
  void heartbeat(rpc::SessionId session, const Heartbeat& heartbeat) override;
  void close(rpc::SessionId session) override;

 private:
  struct Session;

  [[nodiscard]] std::optional<rpc::OpenDenied> position_problem(
      const Station& station, const rpc::HelloRequest& hello) const;
  [[nodiscard]] rpc::Grant grant(rpc::SessionId id, std::uint64_t acknowledged) const;
  std::shared_ptr<Session> add_session(const Station& station, const rpc::HelloRequest& hello);
  std::shared_ptr<Session> find(rpc::SessionId id);

  const IngestConfig config_;
  const Duration keepalive_;
  Parts parts_;
  std::map<std::string, Station> stations_;  // by name
  std::map<StationId, std::unique_ptr<ingest::RateLimiter>> limiters_;

  std::mutex mutex_;
  rpc::SessionId last_session_ = 0;
  std::map<rpc::SessionId, std::shared_ptr<Session>> sessions_;
};

}  // namespace fixwright::app
