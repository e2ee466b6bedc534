#pragma once
/// The page's files, read once into memory: a path can then only name what was read, and a
/// half-replaced folder is never served.

#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <string_view>

#include "server/base/result.hpp"

namespace fixwright::web {

struct PageFile {
  std::shared_ptr<const std::string> content;
  std::string content_type;
  std::string etag;               // quoted hash of the content
  bool named_by_content = false;  // assets/NAME-HASH.js: may be kept for ever
};

class PageFiles {
 public:
  /// Reads every regular file below `folder`; links out of it are not followed. Fails when
  /// index.html is missing or the whole is larger than 64 MiB.
  static Result<PageFiles> read(const std::filesystem::path& folder);

  /// Adds one more file under a path of its own, e.g. "/basemap.geojson".
  Result<bool> add(const std::string& path, const std::filesystem::path& file);

  /// `path` as decoded from the request; "/" is index.html. Null when there is none.
  [[nodiscard]] const PageFile* find(std::string_view path) const;

 private:
  std::map<std::string, PageFile, std::less<>> files_;
};

}  // namespace fixwright::web
