#!/bin/bash
# The one PostgreSQL cluster of a CTest run. CTest calls it before and after the tests that
# need a database (fixture db_cluster); see fixwright_db_test() in CMakeLists.txt.
#
#   test_cluster.sh start STATE    makes it, with a migrated database to copy; where it is goes
#                                  into the file STATE. One left by a broken run is removed first.
#   test_cluster.sh stop STATE     stops and deletes it
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
cluster=$root/deploy/lib/cluster.sh
[ $# -eq 2 ] || { sed -n '2,8s/^# //p' "$0" >&2; exit 2; }
state=$2

stop() {
  [ -f "$state" ] || return 0
  "$cluster" remove "$(sed -n 's/^folder=//p' "$state")"
  rm "$state"
}

start() {
  stop
  local dir owner
  dir=$(mktemp -u /tmp/fixwright-test-XXXXXX)
  echo "folder=$dir" >"$state"
  "$cluster" create "$dir" --no-fsync
  owner=$("$cluster" url "$dir" postgres fixwright_owner)
  psql -X -q -d "$owner" -c 'CREATE DATABASE fixwright_template'
  "$root/sql/migrate.sh" "$("$cluster" url "$dir" fixwright_template fixwright_owner)"
  # Nobody may connect to it: a database in use can't be copied.
  psql -X -q -d "$owner" -c 'ALTER DATABASE fixwright_template ALLOW_CONNECTIONS false'
  echo "server=${owner%% dbname=*}" >>"$state"
}

case $1 in
  start) start ;;
  stop) stop ;;
  *) exit 2 ;;
esac
