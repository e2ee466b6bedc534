#include "station_agent/detect/window_feed.hpp"

#include <algorithm>
#include <cassert>

namespace fixwright::agent::detect {

WindowFeed::WindowFeed(std::size_t elements, std::size_t size)
    : size_(size),
      scratch_(fft_buffer(size)),
      carry_(fft_buffer(elements * size)),
      new_carry_(fft_buffer(elements * size)),
      elements_(elements) {}

void WindowFeed::begin(const SampleBlock& block) {
  assert(block.elements == elements_);
  block_ = &block;
  at_ = -static_cast<std::ptrdiff_t>(carried_);
}

std::optional<std::ptrdiff_t> WindowFeed::next() {
  if (at_ + static_cast<std::ptrdiff_t>(size_) > static_cast<std::ptrdiff_t>(block_->frames)) {
    return std::nullopt;
  }
  at_ += static_cast<std::ptrdiff_t>(size_ / 2);
  return at_ - static_cast<std::ptrdiff_t>(size_ / 2);
}

const std::complex<float>* WindowFeed::window(std::size_t e, const Fft& fft) {
  const std::ptrdiff_t from = at_ - static_cast<std::ptrdiff_t>(size_ / 2);
  if (from >= 0) {
    const std::complex<float>* direct = block_->element(e).data() + from;
    if (fft.is_aligned(direct)) {
      return direct;
    }
  }
  copy(e, from, size_, scratch_.get());
  return scratch_.get();
}

void WindowFeed::copy(std::size_t e, std::ptrdiff_t from, std::size_t count,
                      std::complex<float>* to) const {
  if (from < 0) {
    const std::size_t old = std::min(count, static_cast<std::size_t>(-from));
    const std::complex<float>* kept =
        carry_.get() + e * size_ + static_cast<std::ptrdiff_t>(carried_) + from;
    to = std::copy_n(kept, old, to);
    count -= old;
    from = 0;
  }
  std::copy_n(block_->element(e).data() + from, count, to);
}

void WindowFeed::end() {
  const auto left = static_cast<std::size_t>(static_cast<std::ptrdiff_t>(block_->frames) - at_);
  for (std::size_t e = 0; e < elements_; ++e) {
    copy(e, at_, left, new_carry_.get() + e * size_);
  }
  std::swap(carry_, new_carry_);
  carried_ = left;
  block_ = nullptr;
}

}  // namespace fixwright::agent::detect
