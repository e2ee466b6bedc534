#pragma once
/// Is it UTF-8? Text from outside is checked once, where it enters.

#include <string_view>

namespace fixwright {

/// Well-formed by RFC 3629: no overlong form, no surrogate, nothing past U+10FFFF.
bool is_utf8(std::string_view bytes);

}  // namespace fixwright
