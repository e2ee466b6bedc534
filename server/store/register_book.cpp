#include "server/store/register_book.hpp"

#include "server/store/licence_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"

namespace fixwright::store {

namespace {

std::int64_t last_import(pqxx::transaction_base& tx) {
  return tx.exec1("SELECT coalesce(max(import_id), 0) FROM register_import")[0].as<std::int64_t>();
}

std::int64_t begin_import(pqxx::work& tx, std::int64_t seen) {
  tx.exec0("LOCK TABLE licence IN SHARE ROW EXCLUSIVE MODE");
  const std::int64_t last = last_import(tx);
  if (last == seen) return last + 1;
  throw DatabaseRefused("import " + std::to_string(last) +
                        " came between: run this one again, nothing was written");
}

std::string ids_of_former(const RegisterDifference& difference) {
  TextArray ids;
  for (const LicenceChange& c : difference.changed) ids.add(c.before.id);
  for (const Licence& l : difference.ended) ids.add(l.id);
  return ids.literal();
}

std::string ids_of_ended(const RegisterDifference& difference) {
  TextArray ids;
  for (const Licence& l : difference.ended) ids.add(l.id);
  return ids.literal();
}

void keep_former(pqxx::work& tx, const RegisterDifference& difference, std::int64_t import) {
  execute(tx,
          "INSERT INTO licence_version (" + licence_names() +
              ", import_id, until_import_id, until_at, became) SELECT " + licence_names() +
              ", import_id, $2::bigint, now(), CASE WHEN licence_id = ANY ($3::text[]) "
              "THEN 'ended' ELSE 'changed' END FROM licence WHERE licence_id = ANY ($1::text[])",
          {ids_of_former(difference), std::to_string(import), ids_of_ended(difference)});
  execute(tx, "DELETE FROM licence WHERE licence_id = ANY ($1::text[])",
          {ids_of_ended(difference)});
}

void put_new(pqxx::work& tx, const RegisterDifference& difference, std::int64_t import) {
  std::vector<LicenceVersion> versions;
  versions.reserve(difference.added.size() + difference.changed.size());
  const auto put = [&](const Licence& l) {
    LicenceVersion& v = versions.emplace_back();
    v.licence = l;
    v.from_import = import;
  };
  for (const Licence& l : difference.added) put(l);
  for (const LicenceChange& c : difference.changed) put(c.after);
  std::vector<const LicenceVersion*> rows;
  for (const LicenceVersion& v : versions) rows.push_back(&v);
  if (!rows.empty()) upsert(tx, "licence", fill(licence_columns(), rows), Guard::none);
}

void note_import(pqxx::work& tx, const RegisterImport& note) {
  execute(tx,
          "INSERT INTO register_import (import_id, imported_at, source, added, changed, ended, "
          "unchanged, refused) VALUES ($1::bigint, now(), $2, $3::bigint, $4::bigint, $5::bigint, "
          "$6::bigint, $7::bigint)",
          {std::to_string(note.id), note.source, std::to_string(note.added),
           std::to_string(note.changed), std::to_string(note.ended), std::to_string(note.unchanged),
           std::to_string(note.refused)});
}

RegisterImport import_of(const pqxx::row& row) {
  RegisterImport i;
  i.id = row["import_id"].as<std::int64_t>();
  i.at = time(row["imported_at_us"]);
  i.source = row["source"].as<std::string>();
  i.added = row["added"].as<std::size_t>();
  i.changed = row["changed"].as<std::size_t>();
  i.ended = row["ended"].as<std::size_t>();
  i.unchanged = row["unchanged"].as<std::size_t>();
  i.refused = row["refused"].as<std::size_t>();
  return i;
}

std::vector<Licence> licences_of(const pqxx::result& rows) {
  std::vector<Licence> licences;
  licences.reserve(static_cast<std::size_t>(rows.size()));
  for (const pqxx::row& row : rows) licences.push_back(licence_of(row));
  return licences;
}

}  // namespace

RegisterState RegisterBook::state() {
  return look(database_, [](auto& tx) {
    const auto row = tx.exec1(
        "SELECT (SELECT coalesce(max(import_id), 0) FROM register_import), "
        "(SELECT count(*) FROM register_opinion)");
    return RegisterState{row[0].template as<std::int64_t>(), row[1].template as<std::int64_t>()};
  });
}

std::vector<Licence> RegisterBook::licences() {
  return look(database_, [](auto& tx) {
    return licences_of(
        tx.exec("SELECT " + select_licence() + " FROM licence ORDER BY licence_id COLLATE \"C\""));
  });
}

std::vector<Licence> RegisterBook::former() {
  return look(database_, [](auto& tx) {
    return licences_of(
        tx.exec("SELECT " + select_licence() +
                " FROM (SELECT DISTINCT ON (v.licence_id COLLATE \"C\") v.licence_id, v.holder, "
                "v.service, v.position, v.position_sigma_m, v.frequency_hz, v.bandwidth_hz, "
                "v.power_w, v.emission, v.valid_from, least(v.valid_until, v.until_at) "
                "AS valid_until FROM licence_version AS v WHERE v.became = 'ended' "
                "AND NOT EXISTS (SELECT FROM licence AS l WHERE l.licence_id = v.licence_id) "
                "ORDER BY v.licence_id COLLATE \"C\", v.until_import_id DESC) AS last"));
  });
}

RegisterImport RegisterBook::import(const RegisterDifference& difference, RegisterImport note,
                                    std::int64_t seen) {
  note.added = difference.added.size();
  note.changed = difference.changed.size();
  note.ended = difference.ended.size();
  note.unchanged = difference.unchanged;
  return change(database_, [&](pqxx::work& tx) {
    note.id = begin_import(tx, seen);
    note_import(tx, note);
    keep_former(tx, difference, note.id);
    put_new(tx, difference, note.id);
    return note;
  });
}

std::vector<RegisterImport> RegisterBook::imports() {
  return look(database_, [](auto& tx) {
    std::vector<RegisterImport> imports;
    for (const pqxx::row& row :
         tx.exec("SELECT import_id, " + as_microseconds("imported_at", "imported_at_us") +
                 ", source, added, changed, ended, unchanged, refused FROM register_import "
                 "ORDER BY import_id DESC")) {
      imports.push_back(import_of(row));
    }
    return imports;
  });
}

std::vector<LicenceVersion> RegisterBook::versions(std::string id) {
  return look(database_, [&](auto& tx) {
    std::vector<LicenceVersion> versions;
    const std::string former = "SELECT " + select_licence() +
                               ", import_id, until_import_id, became, " +
                               as_microseconds("until_at", "until_at_us") +
                               " FROM licence_version WHERE licence_id = $1 ORDER BY import_id";
    for (const pqxx::row& row : execute(tx, former, {id})) {
      versions.push_back({licence_of(row), row["import_id"].template as<std::int64_t>(),
                          row["until_import_id"].template as<std::int64_t>(),
                          time(row["until_at_us"]), row["became"].c_str() == std::string("ended")});
    }
    const std::string now =
        "SELECT " + select_licence() + ", import_id FROM licence WHERE licence_id = $1";
    for (const pqxx::row& row : execute(tx, now, {id})) {
      LicenceVersion& v = versions.emplace_back();
      v.licence = licence_of(row);
      v.from_import = row["import_id"].template as<std::int64_t>();
    }
    return versions;
  });
}

}  // namespace fixwright::store
