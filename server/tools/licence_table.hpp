#pragma once
/// Licences as people read them.

#include <span>
#include <string>

#include "server/model/licence.hpp"

namespace fixwright::tools {

/// One row each, under a heading.
std::string licence_table(std::span<const Licence> licences);

/// From and until, UTC; "always" and "no end" where there is none.
std::string validity_text(const Licence& licence);

}  // namespace fixwright::tools
