#pragma once
/// The modes of the mixture likelihood: places that explain the bearings, each with the bearings
/// it believes. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/refine.hpp"
#include "server/locate/rules.hpp"
#include "server/locate/sight.hpp"

namespace fixwright::locate {

struct Mode {
  Estimate estimate;
  std::vector<Choice> choices;  // one a sight
  double cost_nats = 0.0;       // minus the log likelihood, up to a constant of the sights
  int places = 0;               // distinct places of the believed sights
};

/// Distinct modes, the likeliest first; empty when no two bearings cross ahead of both stations
/// within twice the rules' range. When all bearings agree so well that no rival can come near,
/// only that mode is given.
std::vector<Mode> find_modes(std::span<const Sight> sights, const LocateRules& rules);

/// The lines a mode believes, in the order of the sights.
void believed_lines(std::span<const Sight> sights, std::span<const Choice> choices,
                    std::vector<Line>& lines);

/// How far past the rules' limit the search looks, so that it can say "out of range".
double search_limit_m(const LocateRules& rules);

}  // namespace fixwright::locate
