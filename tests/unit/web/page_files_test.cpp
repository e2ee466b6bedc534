#include "server/web/http/page_files.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/web/page_folder.hpp"

namespace fixwright::web {
namespace {

using testing::HasSubstr;

TEST(PageFiles, EveryFileHasItsTypeAndTheRootIsTheIndex) {
  const PageFolder folder;
  folder.write("assets/index-abc123.js", "let a;");
  folder.write("assets/style.css", "p{}");
  folder.write("icon.svg", "<svg/>");
  folder.write("odd.xyz", "?");
  const auto files = PageFiles::read(folder.path());
  ASSERT_TRUE(files.ok()) << files.error();
  EXPECT_EQ(*files->find("/")->content, PageFolder::kIndex);
  EXPECT_EQ(files->find("/")->content_type, "text/html; charset=utf-8");
  EXPECT_EQ(files->find("/assets/index-abc123.js")->content_type, "text/javascript; charset=utf-8");
  EXPECT_EQ(files->find("/assets/style.css")->content_type, "text/css; charset=utf-8");
  EXPECT_EQ(files->find("/icon.svg")->content_type, "image/svg+xml");
  EXPECT_EQ(files->find("/odd.xyz")->content_type, "application/octet-stream");
}

TEST(PageFiles, OnlyAssetsMayBeKeptForEver) {
  const PageFolder folder;
  folder.write("assets/a-1.js", "1");
  const auto files = PageFiles::read(folder.path());
  EXPECT_TRUE(files->find("/assets/a-1.js")->named_by_content);
  EXPECT_FALSE(files->find("/index.html")->named_by_content);
}

TEST(PageFiles, TheEtagFollowsTheContent) {
  const PageFolder folder;
  folder.write("a.txt", "one");
  folder.write("b.txt", "one");
  folder.write("c.txt", "two");
  const auto files = PageFiles::read(folder.path());
  EXPECT_EQ(files->find("/a.txt")->etag, files->find("/b.txt")->etag);
  EXPECT_NE(files->find("/a.txt")->etag, files->find("/c.txt")->etag);
}

TEST(PageFiles, FoldersAndUnknownNamesAreNotFound) {
  const PageFolder folder;
  folder.write("assets/a.js", "1");
  const auto files = PageFiles::read(folder.path());
  EXPECT_EQ(files->find("/assets"), nullptr);
  EXPECT_EQ(files->find("/assets/"), nullptr);
  EXPECT_EQ(files->find("/nothing"), nullptr);
  EXPECT_EQ(files->find(""), nullptr);
}

TEST(PageFiles, ALinkOutOfTheFolderIsNotServed) {
  const PageFolder folder;
  std::filesystem::create_symlink("/etc/hostname", folder.path() / "leak.txt");
  const auto files = PageFiles::read(folder.path());
  ASSERT_TRUE(files.ok()) << files.error();
  EXPECT_EQ(files->find("/leak.txt"), nullptr);
}

TEST(PageFiles, AFolderWithoutAnIndexIsToldInOneLine) {
  const PageFolder folder;
  std::filesystem::remove(folder.path() / "index.html");
  EXPECT_THAT(PageFiles::read(folder.path()).error(), HasSubstr("holds no index.html"));
  EXPECT_THAT(PageFiles::read("/nowhere/page").error(),
              HasSubstr("/nowhere/page: holds no index.html"));
}

TEST(PageFiles, ABasemapIsAddedUnderItsOwnPathAndAMissingOneIsTold) {
  const PageFolder folder;
  auto files = PageFiles::read(folder.path()).value();
  folder.write("elsewhere.geojson", "{}");
  ASSERT_TRUE(files.add("/basemap.geojson", folder.path() / "elsewhere.geojson").ok());
  EXPECT_EQ(files.find("/basemap.geojson")->content_type, "application/geo+json");
  EXPECT_EQ(files.add("/x", "/nowhere/map.geojson").error(), "/nowhere/map.geojson: no such file");
}

}  // namespace
}  // namespace fixwright::web
