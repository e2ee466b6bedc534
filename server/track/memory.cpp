#include "server/track/memory.hpp"

#include <fmt/core.h>

#include <array>
#include <bit>
#include <chrono>
#include <cstring>
#include <type_traits>

#include "server/track/memory_fields.hpp"

namespace fixwright::track {

namespace {

static_assert(std::endian::native == std::endian::little, "numbers are written as they lie");

/// Raise it when a field comes to mean something else under the same type.
constexpr std::uint64_t kMeaning = 1;
constexpr std::size_t kHeader = 16;  // bytes: shape, checksum

std::uint64_t hashed(std::uint64_t hash, std::string_view bytes) {
  for (const char c : bytes) {  // FNV-1a, 64 bits
    hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  }
  return hash;
}
constexpr std::uint64_t kHashBasis = 0xcbf29ce484222325U;

std::string bytes_of(std::uint64_t number) {
  std::string bytes(sizeof number, '\0');
  std::memcpy(bytes.data(), &number, sizeof number);
  return bytes;
}

std::uint64_t number_at(std::string_view bytes, std::size_t place) {
  std::uint64_t number = 0;
  std::memcpy(&number, bytes.data() + place, sizeof number);
  return number;
}

template <typename T>
struct IsTime : std::false_type {};
template <typename Rep, typename Period>
struct IsTime<std::chrono::duration<Rep, Period>> : std::true_type {};
template <typename Clock, typename D>
struct IsTime<std::chrono::time_point<Clock, D>> : std::true_type {};

/// Leads a visitor to every number below a value. What visitors have in common; each `Self` has
/// number(char type, std::uint64_t&), length(std::uint64_t&).
template <typename Self>
class Walk {
 public:
  template <typename... T>
  void operator()(T&... values) {
    (visit(values), ...);
  }

 private:
  Self& self() { return static_cast<Self&>(*this); }

  template <typename T>
  void visit(T& value) {
    if constexpr (std::is_floating_point_v<T>) {
      auto bits = std::bit_cast<std::uint64_t>(value);
      self().number('d', bits);
      value = std::bit_cast<double>(bits);
    } else if constexpr (std::is_integral_v<T> || std::is_enum_v<T>) {
      auto bits = static_cast<std::uint64_t>(value);
      self().number('i', bits);
      value = static_cast<T>(bits);
    } else if constexpr (IsTime<T>::value) {
      std::uint64_t bits = 0;
      std::memcpy(&bits, &value, sizeof bits);
      self().number('t', bits);
      std::memcpy(static_cast<void*>(&value), &bits, sizeof bits);
    } else {
      each_field(self(), value);
    }
  }

  template <typename T>
  void visit(std::vector<T>& values) {
    std::uint64_t size = values.size();
    self().length(size);
    values.resize(size);
    for (T& value : values) visit(value);
  }
  template <typename T, std::size_t N>
  void visit(std::array<T, N>& values) {
    for (T& value : values) visit(value);
  }
  template <typename T>
  void visit(std::optional<T>& value) {
    std::uint64_t size = value ? 1 : 0;
    self().length(size);
    if (size == 0) {
      value.reset();
      return;
    }
    if (!value) value.emplace();
    visit(*value);
  }
};

class Writer : public Walk<Writer> {
 public:
  void number(char /*type*/, std::uint64_t& bits) { bytes += bytes_of(bits); }
  void length(std::uint64_t& size) { bytes += bytes_of(size); }
  std::string bytes;
};

class Reader : public Walk<Reader> {
 public:
  explicit Reader(std::string_view bytes) : bytes_(bytes) {}
  void number(char /*type*/, std::uint64_t& bits) {
    bits = 0;
    if (bytes_.size() < sizeof bits) {
      complete_ = false;
      return;
    }
    bits = number_at(bytes_, 0);
    bytes_.remove_prefix(sizeof bits);
  }
  void length(std::uint64_t& size) {
    number('n', size);
    if (size * sizeof size <= bytes_.size()) return;  // each takes at least one number
    size = 0;
    complete_ = false;
  }
  [[nodiscard]] bool complete() const { return complete_ && bytes_.empty(); }

 private:
  std::string_view bytes_;
  bool complete_ = true;
};

/// Which numbers there are, and in which order: of a value with one of everything.
class Shape : public Walk<Shape> {
 public:
  void number(char type, std::uint64_t& /*bits*/) { add(type); }
  void length(std::uint64_t& size) {
    add('n');
    size = 1;
  }
  [[nodiscard]] std::uint64_t hash() const { return hash_; }

 private:
  void add(char type) { hash_ = hashed(hash_, {&type, 1}); }
  std::uint64_t hash_ = kHashBasis + kMeaning;
};

std::uint64_t our_shape() {
  static const std::uint64_t shape = [] {
    Shape walk;
    ChannelTracks sample;
    walk(sample.emitters, sample.lines);
    return walk.hash();
  }();
  return shape;
}

}  // namespace

std::string write_memory(ChannelTracks tracks) {
  Writer writer;
  writer(tracks.emitters, tracks.lines);
  return bytes_of(our_shape()) + bytes_of(hashed(kHashBasis, writer.bytes)) + writer.bytes;
}

Result<ChannelTracks> read_memory(std::string_view bytes) {
  if (bytes.size() < kHeader) return Error{"it is cut off"};
  if (number_at(bytes, 0) != our_shape()) return Error{"another version of the server wrote it"};
  const std::string_view numbers = bytes.substr(kHeader);
  if (number_at(bytes, 8) != hashed(kHashBasis, numbers)) return Error{"it is damaged"};
  Reader reader(numbers);
  ChannelTracks tracks;
  reader(tracks.emitters, tracks.lines);
  if (!reader.complete()) return Error{"it is damaged"};
  return tracks;
}

}  // namespace fixwright::track
