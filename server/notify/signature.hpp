#pragma once
/// The signature by which a receiver knows that a web request is ours and was not changed.

#include <string>
#include <string_view>

namespace fixwright::notify {

/// HMAC-SHA-256 (RFC 2104, FIPS 180-4) as 64 hexadecimal digits, lower case.
std::string hmac_sha256(std::string_view key, std::string_view text);

}  // namespace fixwright::notify
