/// How long an import of 200 000 rows takes, step by step, and as a ratio to the baseline of the
/// same run: PostgreSQL copying the imported table, with the same indexes, into another.
/// To be met: 20 s for the whole of a first import.

#include <fmt/core.h>

#include <chrono>
#include <pqxx/pqxx>
#include <sstream>
#include <string>
#include <utility>

#include "server/register/difference.hpp"
#include "server/register/register_csv.hpp"
#include "server/store/register_book.hpp"
#include "tests/support/database.hpp"

namespace fixwright {
namespace {

constexpr int kRows = 200'000;

double seconds_of(const auto& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// A regulator's file: packed positions, MHz, designators, days. Every `spoilt`th power differs.
std::string regulators_file(int spoilt) {
  std::string text = "Licence,Holder,Lat,Long,MHz,W,Emission,From\n";
  for (int i = 0; i < kRows; ++i) {
    text += fmt::format(
        "K{:06},Holder {} of Osmere,41{:02}{:02}N,150{:02}{:02}W,{:.5f},{},16K0F3E,"
        "{:02}.{:02}.2030\n",
        i, i % 5'000, i % 60, (i / 60) % 60, (i / 7) % 60, (i / 11) % 60,
        136.0 + 0.0125 * (i % 3'000), spoilt > 0 && i % spoilt == 0 ? 26 : 25, 1 + i % 28,
        1 + i % 12);
  }
  return text;
}

register_::RegisterMapping mapping() {
  register_::RegisterMapping m;
  m.columns = {{"id", {"Licence"}},        {"holder", {"Holder"}},  {"latitude", {"Lat"}},
               {"longitude", {"Long"}},    {"frequency", {"MHz"}},  {"power", {"W"}},
               {"emission", {"Emission"}}, {"valid_from", {"From"}}};
  m.angles = register_::AngleForm::packed;
  m.frequency_unit_hz = 1e6;
  m.date_format = "DD.MM.YYYY";
  return m;
}

/// Reads, compares, writes; says how long each took.
double import(store::RegisterBook& book, const std::string& text, const char* what) {
  register_::RegisterCsv csv;
  const double read_s = seconds_of([&] {
    std::istringstream in{text};
    auto result = register_::read_register_csv(in, "bench.csv", mapping());
    if (result.ok()) csv = std::move(result).value();
  });
  RegisterDifference d;
  const auto seen = book.state().imports;
  const double compare_s = seconds_of(
      [&] { d = register_::difference(book.licences(), csv.licences, csv.refused_ids); });
  const double write_s = seconds_of([&] { book.import(d, {}, seen); });
  fmt::print(
      "{:<28}{:8.2f} s   read {:.2f}, compare {:.2f}, write {:.2f}; {} added, {} changed, {} "
      "unchanged, {} refused\n",
      what, read_s + compare_s + write_s, read_s, compare_s, write_s, d.added.size(),
      d.changed.size(), d.unchanged, csv.refused.size());
  return read_s + compare_s + write_s;
}

double baseline(const std::string& connection) {
  pqxx::connection opened{connection};
  pqxx::nontransaction tx{opened};
  tx.exec("CREATE TABLE licence_copy (LIKE licence INCLUDING ALL)");
  return seconds_of([&] { tx.exec("INSERT INTO licence_copy SELECT * FROM licence"); });
}

int run() {
  const test::ScratchDatabase database;
  store::Database pool{{database.writer(), 1, std::chrono::seconds{5}}};
  store::RegisterBook book{pool};
  const double first_s = import(book, regulators_file(0), "first import");
  const double again_s = import(book, regulators_file(0), "the same file again");
  const double changed_s = import(book, regulators_file(100), "one row in a hundred changed");
  const double base_s = baseline(database.owner());
  fmt::print("{:<28}{:8.2f} s\n", "baseline: table copied", base_s);
  fmt::print("ratios to the baseline: first {:.1f}, again {:.1f}, changed {:.1f}\n",
             first_s / base_s, again_s / base_s, changed_s / base_s);
  return 0;
}

}  // namespace
}  // namespace fixwright

int main() { return fixwright::run(); }
