#pragma once
/// Text from elsewhere, made safe to show. What a peer or a file sends must not be able to forge
/// a line of the log, move a terminal's cursor or break a reader of UTF-8.

#include <cstddef>
#include <string>
#include <string_view>

namespace fixwright {

/// The same text on one line. Control characters (C0, DEL, C1), line and paragraph separators,
/// characters that reorder text (U+200E to F, 202A to E, 2066 to 9) and bytes that are not UTF-8
/// become \n, \t or \xHH, one a byte. A backslash stays as it is: the
/// result is for people, not for reading back. Past `max_bytes` of input it is cut, and says so.
std::string one_line(std::string_view text, std::size_t max_bytes = 4000);

/// The same text, with U+FFFD for every byte that is not part of well-formed UTF-8.
std::string valid_utf8(std::string_view text);

/// The number of insertions, deletions and replacements of a byte, and swaps of two neighbours,
/// that lead from one word to the other (restricted Damerau-Levenshtein distance).
std::size_t edit_distance(std::string_view a, std::string_view b);

}  // namespace fixwright
