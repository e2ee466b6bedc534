#pragma once
/// From the lines of one stream (a file, a connection) to bearings and complaints. Remembers
/// the header; the complaint about a line names the stream and the line's number.

#include <optional>
#include <string>

#include "server/base/time.hpp"
#include "station_agent/source/lines/line_mapping.hpp"
#include "station_agent/source/lines/line_splitter.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

class LineReader {
 public:
  /// `name` is for messages: "stdin", a path, an address.
  LineReader(std::string name, const LineMapping& mapping);

  /// Adds to `batch` the bearing of the line, or the complaint about it, or nothing: blank
  /// lines, comments, headers and lines of another kind are passed over.
  void read(const RawLine& line, TimePoint arrival, SourceBatch& batch);

  /// Remembers the header if this line is it; otherwise nothing.
  void learn_header(const RawLine& line);

 private:
  enum class Header { not_needed, awaited, bound, unusable };
  [[nodiscard]] bool is_passed_over(const RawLine& line) const;
  void bind(const RawLine& line, SourceBatch& batch);
  void complain(const RawLine& line, const std::string& what, SourceBatch& batch) const;

  std::string name_;
  LineMapping mapping_;
  Header header_;
};

}  // namespace fixwright::agent
