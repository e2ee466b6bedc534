/// deploy/lib/cluster.sh: what the demo and these tests stand on.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;

const std::string kCluster = std::string(FIXWRIGHT_SOURCE_DIR) + "/deploy/lib/cluster.sh";

class ClusterTest : public testing::Test {
 protected:
  ~ClusterTest() override { run_command({kCluster, "remove", folder}); }

  Finished cluster(const std::string& command, const std::vector<std::string>& more = {}) {
    std::vector<std::string> words{kCluster, command, folder};
    words.insert(words.end(), more.begin(), more.end());
    return run_command(words);
  }
  std::string url(const std::string& role) {
    const std::string line = cluster("url", {"postgres", role}).output;
    return line.substr(0, line.find('\n'));
  }

  // Below /tmp, which the unprivileged user can reach whatever the build folder is.
  const std::string folder = "/tmp/fixwright-cluster-test-" + std::to_string(getpid());
};

TEST_F(ClusterTest, IsMadeStoppedStartedAndRemoved) {
  const Finished made = cluster("create", {"--no-fsync"});
  ASSERT_EQ(made.status, 0) << made.output;
  EXPECT_EQ(value(url("fixwright_owner"), "SHOW listen_addresses"), "");
  EXPECT_EQ(value(url("fixwright_owner"), "SHOW lc_ctype"), "C.UTF-8");
  EXPECT_EQ(cluster("stop").status, 0);
  EXPECT_EQ(cluster("status").output, "stopped\n");
  EXPECT_EQ(cluster("stop").status, 0);  // and again
  EXPECT_EQ(cluster("start").status, 0);
  EXPECT_EQ(cluster("start").status, 0);
  EXPECT_EQ(cluster("status").output, "running\n");
  EXPECT_EQ(cluster("remove").status, 0);
  EXPECT_FALSE(std::filesystem::exists(folder));
}

TEST_F(ClusterTest, OverLoopbackComesTheReaderAndNobodyElse) {
  ASSERT_EQ(cluster("create", {"--no-fsync", "--port", "auto"}).status, 0);
  EXPECT_EQ(complaint(url("fixwright_owner"), "CREATE ROLE fixwright_reader LOGIN"), "");
  const std::string port = value(url("fixwright_owner"), "SHOW port");
  const std::string loopback = "host=127.0.0.1 dbname=postgres port=" + port + " user=";
  EXPECT_EQ(value(loopback + "fixwright_reader", "SELECT current_user"), "fixwright_reader");
  EXPECT_THAT(complaint(loopback + "fixwright_owner", "SELECT 1"),
              HasSubstr("no pg_hba.conf entry"));
}

TEST_F(ClusterTest, DeepFolderGetsItsSocketElsewhere) {
  const std::string deep = folder + "/" + std::string(90, 'd');
  std::filesystem::create_directory(folder);
  std::filesystem::permissions(folder, std::filesystem::perms{0755});
  const Finished made = run_command({kCluster, "create", deep, "--no-fsync"});
  EXPECT_EQ(made.status, 0) << made.output;
  const Finished url = run_command({kCluster, "url", deep, "postgres", "fixwright_owner"});
  EXPECT_THAT(url.output, HasSubstr("host=/tmp/fixwright-socket-"));
  EXPECT_EQ(value(url.output, "SELECT 1"), "1");
  EXPECT_EQ(run_command({kCluster, "remove", deep}).status, 0);
  std::filesystem::remove(folder);
}

TEST_F(ClusterTest, FolderThatIsThereIsLeftAlone) {
  std::filesystem::create_directory(folder);
  const Finished refused = cluster("create");
  EXPECT_NE(refused.status, 0);
  EXPECT_THAT(refused.output, HasSubstr("is there already"));
  EXPECT_THAT(cluster("remove").output, HasSubstr("holds no cluster: not removed"));
  EXPECT_TRUE(std::filesystem::remove(folder));
}

TEST_F(ClusterTest, StartWithoutAClusterSaysSo) {
  EXPECT_THAT(cluster("start").output, HasSubstr("create it first"));
}

}  // namespace
}  // namespace fixwright::test
