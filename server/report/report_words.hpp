#pragma once
/// The sentences of a report. None accuses: a place is evidence, never proof of who transmits.

#include <span>
#include <string>
#include <vector>

#include "server/model/evidence.hpp"

namespace fixwright::report {

std::string name_of(
    const EmitterEvidence& e);       // "harbour mast (12/1)", or "emitter on 156.80001 MHz (12/1)"
std::string time_text(TimePoint t);  // "2031-05-04 11:57:03"
std::string megahertz(double frequency_hz);  // "156.80001 MHz"
std::string kilometres(double metres);       // "820 m", "12.4 km"

std::string caution_words();
/// What it is, and where.
std::vector<std::string> place_words(const EmitterEvidence& e);
/// And which stations say so.
std::vector<std::string> summary_words(const EmitterEvidence& e);
std::string map_words(const EmitterEvidence& e);
std::vector<std::string> method_words(const EmitterEvidence& e);
std::vector<std::string> register_words(const EmitterEvidence& e);
std::vector<std::string> limit_words(const EmitterEvidence& e);
std::vector<std::string> check_words(std::span<const EmitterEvidence> emitters);

}  // namespace fixwright::report
