#include "tests/support/receivers/receivers.hpp"

#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>

namespace fixwright::test {

namespace {

[[noreturn]] void give_up(const char* why) {
  std::perror(why);
  std::abort();
}

std::string contents(const std::filesystem::path& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

}  // namespace

Receivers::Receivers() {
  std::string pattern = (std::filesystem::temp_directory_path() / "receivers.XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) give_up("mkdtemp");
  folder_ = pattern;
  std::array<int, 2> in{};
  std::array<int, 2> out{};
  if (pipe(in.data()) != 0 || pipe(out.data()) != 0) give_up("pipe");
  process_ = fork();
  if (process_ < 0) give_up("fork");
  if (process_ == 0) {
    dup2(in[0], STDIN_FILENO);
    dup2(out[1], STDOUT_FILENO);
    for (const int fd : {in[0], in[1], out[0], out[1]}) close(fd);
    execlp("python3", "python3", FIXWRIGHT_RECEIVERS, folder_.c_str(), nullptr);
    _exit(127);
  }
  close(in[0]);
  close(out[1]);
  input_ = in[1];
  FILE* const ports = fdopen(out[0], "r");
  if (ports == nullptr || std::fscanf(ports, "%d %d", &mail_port_, &web_port_) != 2) {
    give_up("receivers.py told no ports");
  }
  std::fclose(ports);
}

Receivers::~Receivers() {
  close(input_);
  waitpid(process_, nullptr, 0);
  std::filesystem::remove_all(folder_);
}

std::string Receivers::mail_url() const { return "smtp://127.0.0.1:" + std::to_string(mail_port_); }

std::string Receivers::web_url() const {
  return "http://127.0.0.1:" + std::to_string(web_port_) + "/alerts";
}

std::vector<std::string> Receivers::taken(const std::string& kind,
                                          const std::string& suffix) const {
  std::vector<std::string> all;
  for (int i = 1;; ++i) {
    const auto path = folder_ / (kind + "-" + std::to_string(i) + suffix);
    if (!std::filesystem::exists(path)) return all;
    all.push_back(contents(path));
  }
}

std::vector<std::string> Receivers::mails() const { return taken("mail", ".eml"); }
std::vector<std::string> Receivers::requests() const { return taken("web", ".json"); }

void Receivers::refuse(int status) const {
  const auto path = folder_ / "refuse";
  if (status == 0) {
    std::filesystem::remove(path);
    return;
  }
  std::ofstream(folder_ / "refuse.part") << status;
  std::filesystem::rename(folder_ / "refuse.part", path);
}

}  // namespace fixwright::test
