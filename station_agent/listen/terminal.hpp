#pragma once
/// A terminal that is drawn on and asked for keys, and is left as it was found.

#include <termios.h>

#include <string>
#include <vector>

namespace fixwright::agent::listen {

/// Between construction and destruction keys come at once and unseen, and the terminal shows a
/// screen of its own without a cursor. Ctrl-C still sends its signal.
class Terminal {
 public:
  /// \param keys    descriptor of a terminal that is read; -1: no keys, because the source reads
  /// it. \param screen  descriptor of a terminal that is written to.
  Terminal(int keys, int screen);
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;
  ~Terminal();

  /// Rows that can be seen; 24 where the terminal does not say.
  [[nodiscard]] int rows() const;
  /// The key that was pressed since the last question; 0: none.
  [[nodiscard]] char key() const;
  void draw(const std::vector<std::string>& lines) const;

 private:
  void write_all(const std::string& text) const;

  int keys_;
  int screen_;
  termios found_{};
  bool changed_ = false;
};

}  // namespace fixwright::agent::listen
