/// What is remembered of emitters: bytes that only the tracker reads.

#include <charconv>

#include "server/store/pool.hpp"
#include "server/store/reader.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"
#include "server/store/write_results.hpp"

namespace fixwright::store {

namespace {

std::string hex_of(std::string_view bytes) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string hex = "\\x";
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    hex += kDigits[byte >> 4U];
    hex += kDigits[byte & 15U];
  }
  return hex;
}

/// \pre `hex` is of PostgreSQL's making.
std::string bytes_of(std::string_view hex) {
  std::string bytes(hex.size() / 2, '\0');
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    unsigned value = 0;
    std::from_chars(hex.data() + 2 * i, hex.data() + 2 * i + 2, value, 16);
    bytes[i] = static_cast<char>(value);
  }
  return bytes;
}

std::vector<Column<ChannelMemory>> columns() {
  using M = ChannelMemory;
  return {
      {"channel_id", "bigint", [](TextArray& a, const M& m) { a.add(m.channel); }, true},
      {"through_ns", "bigint",
       [](TextArray& a, const M& m) { a.add(m.through.time_since_epoch().count()); }},
      {"state", "text", [](TextArray& a, const M& m) { a.add(hex_of(m.state)); }, false, "bytea"},
  };
}

}  // namespace

void write_memories(pqxx::work& tx, const std::vector<ChannelMemory>& memories) {
  if (memories.empty()) return;
  TextArray forgotten;
  std::vector<const ChannelMemory*> kept;
  for (const ChannelMemory* m : latest(
           memories, [](const ChannelMemory& c) { return c.channel; },
           [](const ChannelMemory&) { return 0; })) {
    m->state.empty() ? forgotten.add(m->channel) : kept.push_back(m);
  }
  execute(tx, "DELETE FROM emitter_memory WHERE channel_id = ANY ($1::bigint[])",
          {forgotten.literal()});
  if (!kept.empty()) upsert(tx, "emitter_memory", fill(columns(), kept), Guard::none);
}

std::vector<ChannelMemory> Reader::memories() {
  return look(database_, [](auto& tx) {
    std::vector<ChannelMemory> memories;
    for (const pqxx::row& row :
         tx.exec("SELECT channel_id, through_ns, encode(state, 'hex') FROM emitter_memory "
                 "ORDER BY channel_id")) {
      memories.push_back({row[0].as<ChannelId>(), TimePoint{Duration{row[1].as<std::int64_t>()}},
                          bytes_of(row[2].as<std::string>())});
    }
    return memories;
  });
}

}  // namespace fixwright::store
