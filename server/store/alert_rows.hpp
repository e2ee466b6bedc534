#pragma once
/// Alerts as rows.

#include <optional>
#include <pqxx/pqxx>
#include <string>
#include <vector>

#include "server/model/delivery.hpp"
#include "server/model/views.hpp"

namespace fixwright::store {

/// Writes each over its old row, if any; who acknowledged it stays. Of those that are new, the
/// deliveries go into the outbox, and whoever listens to the channel fixwright_alert is told.
void write_alerts(pqxx::work& tx, const std::vector<Alert>& alerts,
                  const std::vector<Delivery>& deliveries);

/// Those for which `where` holds, newest first.
/// \param where  a condition of ours; data goes in `parameters`.
std::vector<AlertView> select_alerts(
    pqxx::transaction_base& tx, const std::string& where,
    const std::vector<std::optional<std::string>>& parameters = {});

}  // namespace fixwright::store
