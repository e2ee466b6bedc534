#pragma once
/// A value, or one line that says why there is none.

#include <cassert>
#include <string>
#include <utility>
#include <variant>

namespace fixwright {

/// One line for a person: where, which value, which rule, what to do.
struct Error {
  std::string message;
};

/// Either a T or an Error. Reading the side that is not there is our bug and stops the program.
template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::move(value)) {}      // NOLINT(google-explicit-constructor)
  Result(Error error) : state_(std::move(error)) {}  // NOLINT(google-explicit-constructor)

  [[nodiscard]] bool ok() const { return std::holds_alternative<T>(state_); }
  explicit operator bool() const { return ok(); }

  [[nodiscard]] const T& value() const& {
    assert(ok());
    return std::get<T>(state_);
  }
  [[nodiscard]] T&& value() && {
    assert(ok());
    return std::get<T>(std::move(state_));
  }
  const T& operator*() const& { return value(); }
  const T* operator->() const { return &value(); }

  [[nodiscard]] const std::string& error() const {
    assert(!ok());
    return std::get<Error>(state_).message;
  }

 private:
  std::variant<T, Error> state_;
};

}  // namespace fixwright
