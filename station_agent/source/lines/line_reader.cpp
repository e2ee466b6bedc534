#include "station_agent/source/lines/line_reader.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "station_agent/source/lines/line_fields.hpp"
#include "station_agent/source/lines/line_parser.hpp"

namespace fixwright::agent {

namespace {

bool needs_header(const TextFormat& text) {
  return text.format == LineFormat::delimited && text.header;
}

/// A whole JSON object proves itself; cut text in columns can look whole and lie.
bool may_be_half(const RawLine& line, const TextFormat& text) {
  return line.state == LineState::unterminated && text.format == LineFormat::delimited;
}

}  // namespace

LineReader::LineReader(std::string name, const LineMapping& mapping)
    : name_(std::move(name)),
      mapping_(mapping),
      header_(needs_header(mapping.text) ? Header::awaited : Header::not_needed) {}

void LineReader::read(const RawLine& line, TimePoint arrival, SourceBatch& batch) {
  if (is_passed_over(line)) return;
  if (line.state == LineState::too_long) {
    return complain(line,
                    fmt::format("is longer than source.lines.max_line_bytes: passed over; "
                                "it begins \"{}\"",
                                one_line(line.text, 40)),
                    batch);
  }
  if (may_be_half(line, mapping_.text)) {
    return complain(line,
                    fmt::format("\"{}\": ends without a newline: taken for half a line",
                                one_line(line.text, 60)),
                    batch);
  }
  if (header_ == Header::awaited) return bind(line, batch);
  if (header_ == Header::unusable) return;  // the complaint about the header covers these
  const auto texts = read_fields(line.text, mapping_);
  if (!texts) return complain(line, texts.error(), batch);
  if (!is_selected(*texts, mapping_)) return;
  auto bearing = to_bearing(*texts, mapping_, arrival);
  if (!bearing) return complain(line, bearing.error(), batch);
  batch.bearings.push_back(std::move(bearing).value());
}

void LineReader::learn_header(const RawLine& line) {
  SourceBatch told_before;
  if (header_ == Header::awaited && !is_passed_over(line)) bind(line, told_before);
}

bool LineReader::is_passed_over(const RawLine& line) const {
  const bool comment =
      !mapping_.text.comment.empty() && line.text.starts_with(mapping_.text.comment);
  return comment || line.text.find_first_not_of(" \t") == std::string::npos;
}

void LineReader::bind(const RawLine& line, SourceBatch& batch) {
  auto bound = bind_header(mapping_, line.text);
  header_ = bound ? Header::bound : Header::unusable;
  if (!bound) return complain(line, bound.error(), batch);
  mapping_ = std::move(bound).value();
}

void LineReader::complain(const RawLine& line, const std::string& what, SourceBatch& batch) const {
  batch.complaints.push_back(fmt::format("{}:{}: {}", name_, line.number, what));
}

}  // namespace fixwright::agent
