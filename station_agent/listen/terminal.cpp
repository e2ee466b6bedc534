#include "station_agent/listen/terminal.hpp"

#include <poll.h>
#include <sys/ioctl.h>
#include <unistd.h>

namespace fixwright::agent::listen {

namespace {

// Control sequences of ECMA-48; the screen of one's own (1049) is common practice, no source.
constexpr const char* kEnter = "\x1b[?1049h\x1b[?25l\x1b[2J";
constexpr const char* kLeave = "\x1b[?25h\x1b[?1049l";
constexpr const char* kHome = "\x1b[H";
constexpr const char* kClearLine = "\x1b[K";
constexpr const char* kClearRest = "\x1b[J";

}  // namespace

Terminal::Terminal(int keys, int screen) : keys_(keys), screen_(screen) {
  if (keys_ >= 0 && tcgetattr(keys_, &found_) == 0) {
    termios at_once = found_;
    at_once.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    at_once.c_cc[VMIN] = 0;
    at_once.c_cc[VTIME] = 0;
    changed_ = tcsetattr(keys_, TCSANOW, &at_once) == 0;
  }
  write_all(kEnter);
}

Terminal::~Terminal() {
  write_all(kLeave);
  if (changed_) tcsetattr(keys_, TCSANOW, &found_);
}

int Terminal::rows() const {
  winsize size{};
  const bool told = ioctl(screen_, TIOCGWINSZ, &size) == 0 && size.ws_row > 0;
  return told ? size.ws_row : 24;
}

char Terminal::key() const {
  pollfd ready{keys_, POLLIN, 0};
  if (keys_ < 0 || poll(&ready, 1, 0) <= 0 || (ready.revents & POLLIN) == 0) return 0;
  char key = 0;
  return read(keys_, &key, 1) == 1 ? key : '\0';
}

void Terminal::draw(const std::vector<std::string>& lines) const {
  std::string frame = kHome;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    frame += lines[i] + kClearLine;
    if (i + 1 < lines.size()) frame += "\r\n";
  }
  write_all(frame + kClearRest);
}

void Terminal::write_all(const std::string& text) const {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t n = write(screen_, text.data() + done, text.size() - done);
    if (n <= 0) return;  // a terminal that is gone ends the program by its signal
    done += static_cast<std::size_t>(n);
  }
}

}  // namespace fixwright::agent::listen
