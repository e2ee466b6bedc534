#include "server/notify/signature.hpp"

#include <fmt/core.h>
#include <openssl/evp.h>
#include <openssl/hmac.h>

#include <array>
#include <stdexcept>

namespace fixwright::notify {

std::string hmac_sha256(std::string_view key, std::string_view text) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  const auto* const bytes = reinterpret_cast<const unsigned char*>(text.data());
  if (HMAC(EVP_sha256(), key.data(), static_cast<int>(key.size()), bytes, text.size(),
           digest.data(), &size) == nullptr) {
    throw std::runtime_error("the signature can't be made");
  }
  std::string hex;
  for (unsigned int i = 0; i < size; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex;
}

}  // namespace fixwright::notify
