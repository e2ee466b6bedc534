#include "server/web/http/page_files.hpp"

#include <fmt/core.h>

#include <array>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <system_error>
#include <utility>

namespace fixwright::web {

namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kMaxTotalBytes = 64U << 20U;

std::string_view content_type_of(const fs::path& file) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 13> kTypes{{
      {".html", "text/html; charset=utf-8"},
      {".js", "text/javascript; charset=utf-8"},
      {".css", "text/css; charset=utf-8"},
      {".json", "application/json"},
      {".geojson", "application/geo+json"},
      {".svg", "image/svg+xml"},
      {".png", "image/png"},
      {".webp", "image/webp"},
      {".ico", "image/x-icon"},
      {".woff2", "font/woff2"},
      {".webmanifest", "application/manifest+json"},
      {".map", "application/json"},
      {".txt", "text/plain; charset=utf-8"},
  }};
  const auto extension = file.extension().string();
  for (const auto& [known, type] : kTypes) {
    if (extension == known) return type;
  }
  return "application/octet-stream";
}

/// FNV-1a, 64 bits: tells two builds apart; it protects nothing.
std::string etag_of(std::string_view content) {
  std::uint64_t hash = 0xcbf29ce484222325U;
  for (const char c : content) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  }
  return fmt::format("\"{:016x}\"", hash);
}

Result<PageFile> read_file(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::string content{std::istreambuf_iterator<char>(in), {}};
  if (!in.good() && !in.eof()) return Error{fmt::format("{}: can't be read", file.string())};
  PageFile out;
  out.etag = etag_of(content);
  out.content = std::make_shared<const std::string>(std::move(content));
  out.content_type = content_type_of(file);
  return out;
}

}  // namespace

Result<PageFiles> PageFiles::read(const fs::path& folder) {
  PageFiles files;
  std::error_code error;
  std::uintmax_t total = 0;
  for (auto it = fs::recursive_directory_iterator(folder, error);
       !error && it != fs::recursive_directory_iterator(); it.increment(error)) {
    if (!it->is_regular_file(error) || it->is_symlink(error)) continue;
    total += it->file_size(error);
    if (total > kMaxTotalBytes) {
      return Error{fmt::format("{}: larger than {} MiB; is it the page's folder?", folder.string(),
                               kMaxTotalBytes >> 20U)};
    }
    const auto path = "/" + it->path().lexically_relative(folder).generic_string();
    if (const auto added = files.add(path, it->path()); !added) return Error{added.error()};
  }
  if (files.files_.find("/index.html") == files.files_.end()) {
    return Error{
        fmt::format("{}: holds no index.html; build the page (npm run build)", folder.string())};
  }
  return files;
}

Result<bool> PageFiles::add(const std::string& path, const fs::path& file) {
  std::error_code error;
  if (!fs::is_regular_file(file, error)) {
    return Error{fmt::format("{}: no such file", file.string())};
  }
  auto read = read_file(file);
  if (!read) return Error{read.error()};
  PageFile entry = std::move(read).value();
  entry.named_by_content = path.rfind("/assets/", 0) == 0;
  files_[path] = std::move(entry);
  return true;
}

const PageFile* PageFiles::find(std::string_view path) const {
  const auto it = files_.find(path == "/" ? "/index.html" : path);
  return it == files_.end() ? nullptr : &it->second;
}

}  // namespace fixwright::web
