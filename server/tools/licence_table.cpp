#include "server/tools/licence_table.hpp"

#include <fmt/core.h>

#include <vector>

#include "server/report/table.hpp"

namespace fixwright::tools {

std::string validity_text(const Licence& l) {
  return fmt::format("{} to {}", l.valid_from ? format_rfc3339(*l.valid_from, 0) : "always",
                     l.valid_until ? format_rfc3339(*l.valid_until, 0) : "no end");
}

std::string licence_table(std::span<const Licence> licences) {
  std::vector<std::vector<std::string>> rows{{"ID", "FREQUENCY", "BANDWIDTH", "POSITION", "SIGMA",
                                              "POWER", "EMISSION", "HOLDER", "VALID"}};
  for (const Licence& l : licences) {
    rows.push_back({l.id, fmt::format("{:.4f} MHz", l.frequency_hz / 1e6),
                    fmt::format("{:g} kHz", l.bandwidth_hz / 1e3),
                    fmt::format("{:.5f} {:.5f}", l.position.latitude_deg, l.position.longitude_deg),
                    fmt::format("{:.0f} m", l.position_sigma_m),
                    l.power_w ? fmt::format("{:.3g} W", *l.power_w) : "-",
                    l.emission.empty() ? "-" : l.emission, l.holder.empty() ? "-" : l.holder,
                    validity_text(l)});
  }
  return report::text_table(rows);
}

}  // namespace fixwright::tools
