#pragma once
/// `fixwright case`: what somebody investigates, from the complaint to the report.

#include <cstdint>
#include <ostream>
#include <string>

namespace fixwright::tools {

struct CaseOptions {
  std::string database;
  std::int64_t id = 0;
  std::string by;
  std::string text;     // the question, a note, the outcome
  std::string emitter;  // CHANNEL/ID; of `open` it may be empty
  std::string alert;    // of `open`
  std::string complaint;
  std::string since, until;    // RFC 3339; empty: the day before now, until now
  double frequency_mhz = 0.0;  // 0: any
  std::string place;           // "LATITUDE,LONGITUDE"; empty: none
  double radius_km = 10.0;
  std::string output;  // of `report`
};

/// Each: \return 0; 1 when that can't be done, 2 when an option or the database can't be used; with
/// one line on `err`.
int run_case_open(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_list(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_show(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_add(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_note(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_close(const CaseOptions& options, std::ostream& out, std::ostream& err);
int run_case_report(const CaseOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
