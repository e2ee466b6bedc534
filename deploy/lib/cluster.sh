#!/bin/bash
# A private PostgreSQL 15 cluster in a folder of its own. It never touches another cluster.
#
#   cluster.sh create DIR [--no-fsync] [--port auto|N]   make it (DIR must not be there) and start it
#   cluster.sh start DIR        start it if it isn't running
#   cluster.sh stop DIR         stop it; what is connected is cut off
#   cluster.sh remove DIR       stop it and delete DIR
#   cluster.sh status DIR       prints "running" or "stopped"
#   cluster.sh url DIR DATABASE ROLE    prints a libpq connection string
#
# Clients connect through a socket that only this user and root can reach; no password is
# needed there. With --port, fixwright_reader, and nobody else, may also come over loopback.
# --no-fsync is for tests: faster, and lost with the machine's power.
# As root it runs PostgreSQL, which refuses root, as the system user "fixwright" (made if
# missing); as anybody else, as that user. The owner of every database is "fixwright_owner".
set -euo pipefail
umask 077

bin=${FIXWRIGHT_PG_BIN:-/usr/lib/postgresql/15/bin}
owner=fixwright_owner

fail() { echo "cluster.sh: $*" >&2; exit 1; }

usage() { sed -n '4,9s/^#   //p' "$0" >&2; exit 2; }

# Runs a command as the cluster's user, in a folder that user can be in.
as_user() {
  if [ "$(id -u)" -eq 0 ]; then
    (cd / && setpriv --reuid=fixwright --regid=fixwright --clear-groups \
      env -i PATH="$PATH" HOME=/ LC_ALL=C.UTF-8 "$@")
  else
    (cd / && LC_ALL=C.UTF-8 "$@")
  fi
}

need_user() {
  [ "$(id -u)" -eq 0 ] || return 0
  getent passwd fixwright >/dev/null && return 0
  # Two callers may come at once: the loser finds the user made.
  useradd --system --user-group --no-create-home --home-dir /nonexistent \
    --shell /usr/sbin/nologin fixwright 2>/dev/null || getent passwd fixwright >/dev/null ||
    fail "can't make the system user fixwright: make it with useradd --system, then try again"
}

free_port() {
  python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])' 2>/dev/null ||
    perl -MIO::Socket::INET -e 'print IO::Socket::INET->new(Listen=>1,LocalAddr=>"127.0.0.1")->sockport, "\n"'
}

# A socket's path has 107 bytes at most (unix(7)): a deep DIR gets a socket folder in /tmp.
make_socket_dir() {
  local dir=$1/socket
  if [ ${#dir} -gt 80 ]; then
    dir=$(mktemp -d /tmp/fixwright-socket-XXXXXX)
    [ "$(id -u)" -ne 0 ] || chown fixwright: "$dir"
  else
    as_user mkdir "$dir"
  fi
  echo "$dir" | as_user tee "$1/socket_dir" >/dev/null
}

write_settings() {
  local dir=$1 fsync=$2 port=$3
  {
    echo "unix_socket_directories = '$(cat "$dir/socket_dir")'"
    echo "unix_socket_permissions = 0700"
    echo "listen_addresses = '$([ -z "$port" ] || echo 127.0.0.1)'"
    echo "port = ${port:-5432}"
    echo "fsync = $fsync"
    echo "synchronous_commit = $fsync"
    echo "full_page_writes = $fsync"
    echo "max_connections = 200"
    echo "shared_buffers = 128MB"
    echo "timezone = 'UTC'"
    echo "log_timezone = 'UTC'"
    echo "log_line_prefix = '%m [%p] %u@%d '"
  } | as_user tee -a "$dir/data/postgresql.conf" >/dev/null
  {
    echo "local all all trust"
    [ -z "$port" ] || echo "host all fixwright_reader 127.0.0.1/32 trust"
  } | as_user tee "$dir/data/pg_hba.conf" >/dev/null
}

make_folder() {
  local dir=$1
  [ ! -e "$dir" ] || fail "$dir is there already: start it, remove it, or name another folder"
  mkdir -p "$(dirname "$dir")"
  mkdir "$dir"
  [ "$(id -u)" -ne 0 ] || chown fixwright: "$dir"
  as_user test -x "$dir" || {
    rmdir "$dir"
    fail "user fixwright can't reach $dir: name a folder below one that everybody may enter, such as /var/lib"
  }
}

create() {
  local dir=$1 fsync=on port=
  shift
  while [ $# -gt 0 ]; do
    case $1 in
      --no-fsync) fsync=off ;;
      --port) port=${2:?--port needs a number or auto}; shift ;;
      *) usage ;;
    esac
    shift
  done
  [ -x "$bin/initdb" ] || fail "no $bin/initdb: install postgresql-15 and postgresql-15-postgis-3"
  [ "$port" != auto ] || port=$(free_port)
  need_user
  make_folder "$dir"
  local sync=()
  [ $fsync = on ] || sync=(--no-sync)
  as_user "$bin/initdb" -D "$dir/data" -U "$owner" --locale=C.UTF-8 --encoding=UTF8 --auth=trust \
    "${sync[@]}" >"$dir/initdb.log" ||
    fail "initdb failed: see $dir/initdb.log"
  make_socket_dir "$dir"
  write_settings "$dir" "$fsync" "$port"
  start "$dir"
}

is_running() { as_user "$bin/pg_ctl" status -D "$1/data" >/dev/null 2>&1; }

close_others() {
  local fd
  for fd in /proc/self/fd/*; do
    fd=${fd##*/}
    [ "$fd" -le 2 ] || [ "$fd" -eq 255 ] || eval "exec $fd>&-"  # 255: bash reads this file by it
  done
}

start() {
  [ -d "$1/data" ] || fail "no cluster in $1: create it first"
  is_running "$1" && return 0
  # What the caller holds open, such as a lock or a pipe, must not live on in the server.
  (close_others; as_user "$bin/pg_ctl" start -D "$1/data" -w -t 60 -s -l "$1/postgresql.log") \
    </dev/null >/dev/null ||
    fail "PostgreSQL did not start: see $1/postgresql.log"
}

stop() {
  is_running "$1" || return 0
  as_user "$bin/pg_ctl" stop -D "$1/data" -m fast -w -t 60 -s ||
    fail "PostgreSQL in $1 did not stop in 60 s: see $1/postgresql.log"
}

remove() {
  [ -e "$1" ] || return 0
  [ -f "$1/socket_dir" ] || [ -d "$1/data" ] || fail "$1 holds no cluster: not removed"
  stop "$1"
  local socket
  socket=$(cat "$1/socket_dir" 2>/dev/null || true)
  case $socket in /tmp/fixwright-socket-*) rm -rf "$socket" ;; esac
  rm -rf "$1"
}

url() {
  local port
  port=$(sed -n 's/^port = //p' "$1/data/postgresql.conf" | tail -1)
  echo "host=$(cat "$1/socket_dir") port=$port dbname=$2 user=$3"
}

[ $# -ge 2 ] || usage
command=$1
dir=$(realpath -m "$2")
shift 2
case $command in
  create) create "$dir" "$@" ;;
  start) start "$dir" ;;
  stop) stop "$dir" ;;
  remove) remove "$dir" ;;
  status) if is_running "$dir"; then echo running; else echo stopped; fi ;;
  url) url "$dir" "${1:?url needs a database}" "${2:?url needs a role}" ;;
  *) usage ;;
esac
