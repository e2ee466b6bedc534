#pragma once
/// A built page of one file, in a folder of its own that goes with it.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace fixwright::web {

class PageFolder {
 public:
  static constexpr auto kIndex = "<!doctype html><title>page</title>";

  PageFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "fixwright-page-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
    write("index.html", kIndex);
  }
  PageFolder(const PageFolder&) = delete;
  PageFolder& operator=(const PageFolder&) = delete;
  ~PageFolder() { std::filesystem::remove_all(path_); }

  void write(const std::string& name, const std::string& content) const {
    std::filesystem::create_directories((path_ / name).parent_path());
    std::ofstream(path_ / name, std::ios::binary) << content;
  }

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace fixwright::web
