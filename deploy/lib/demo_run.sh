# shellcheck shell=bash
# What deploy/demo does, step by step. Needs: top, build, stations, station_form, scenario,
# more_server_config.
# shellcheck disable=SC2154
. "$top/deploy/lib/ccache.sh"

step() { printf '\n== %s\n' "$*"; }
say() { echo "deploy/demo: $*" >&2; }
fail() { say "$*"; exit 1; }

# Ninja's own progress on a terminal; a line every 25 steps elsewhere.
build_programs() {
  step "Building (the first time takes 5 to 10 minutes on two cores; log: build/release/demo.log)"
  mkdir -p "$build"
  use_ccache "$top"
  (cd "$top" && cmake --preset release -DBUILD_TESTING=OFF) >"$build/demo.log" 2>&1 ||
    { tail -20 "$build/demo.log" >&2; fail "configuring failed, see above"; }
  if [ -t 1 ]; then
    cmake --build "$build" || fail "the build failed, see above"
  else
    cmake --build "$build" 2>&1 | tee -a "$build/demo.log" |
      awk '/^\[[0-9]+\/[0-9]+\]/ { split(substr($1, 2), n, /[\/\]]/); if (n[1] % 25 == 0) { print $1; fflush() } next }
           /error|FAILED/ { print; fflush() }' ||
      fail "the build failed, see $build/demo.log"
  fi
}

# One demo a folder: a second one would take the first one's database.
hold_data_folder() {
  data=$1
  mkdir -p "$data"
  exec 9>"$data/lock"
  flock -n 9 || fail "a demo runs in $data already: stop it, or name another folder with --data"
  rm -rf "$data/run"
  mkdir -p "$data/run"
}

cluster() { "$top/deploy/lib/cluster.sh" "$@" 9>&-; }

owner_sql() { PGOPTIONS="-c client_min_messages=warning" psql -X -q -v ON_ERROR_STOP=1 -d "$(cluster url "$data/cluster" "$1" fixwright_owner)" -c "$2"; }

start_database() {
  step "Starting a private PostgreSQL in $data/cluster"
  if [ -d "$data/cluster/data" ]; then
    cluster start "$data/cluster"
  else
    cluster create "$data/cluster" --port auto
  fi
  owner_sql postgres 'DROP DATABASE IF EXISTS fixwright WITH (FORCE)'
  owner_sql postgres 'CREATE DATABASE fixwright'
  owner_sql fixwright 'CREATE EXTENSION postgis'
  "$top/sql/migrate.sh" "$(cluster url "$data/cluster" fixwright fixwright_owner)" | tail -1
  "$build/server/tools/fixwright" register import "$top/deploy/config/demo/register.csv" \
    --database "$(cluster url "$data/cluster" fixwright fixwright_owner)"
}

# fill TEMPLATE KEY=VALUE…: the text with @KEY@ replaced.
fill() {
  local text key
  text=$(cat "$1")
  shift
  for pair in "$@"; do
    key=${pair%%=*}
    text=${text//@$key@/${pair#*=}}
  done
  printf '%s\n' "$text"
}

pids=()

# start LOG COMMAND…: in the background, remembered for stop_all.
start() {
  local log=$1
  shift
  "$@" >"$log" 2>&1 </dev/null 9>&- &
  pids+=($!)
}

start_server() {
  step "Starting the server"
  fill "$top/deploy/config/demo/server.toml.in" \
    "DATABASE=$(cluster url "$data/cluster" fixwright fixwright_writer)" \
    "PAGE=$build/page/dist" \
    "BASEMAP=$top/server/web/page/public/basemap/osmere.geojson" >"$data/run/server.toml"
  cat "$more_server_config" >>"$data/run/server.toml"
  start "$data/run/server.log" "$build/server/app/fixwright-server" \
    --config "$data/run/server.toml" --endpoints-file "$data/run/endpoints"
  local server=$!
  while [ ! -f "$data/run/endpoints" ]; do
    kill -0 "$server" 2>/dev/null || { cat "$data/run/server.log" >&2; fail "the server did not start"; }
    sleep 0.1
  done
  . "$data/run/endpoints"
}

start_agents() {
  step "Starting four station agents: $stations"
  local station
  for station in $stations; do
    fill "$top/deploy/config/demo/$station_form" "SERVER=127.0.0.1:$rpc_port" \
      "STATION=$station" "SPOOL=$data/run/$station.spool" \
      "SCENARIO=$top/deploy/config/demo/$scenario" >"$data/run/$station.toml"
    start "$data/run/$station.log" "$build/station_agent/app/fixwright-station" \
      --config "$data/run/$station.toml"
  done
}

reader_url() { cluster url "$data/cluster" fixwright fixwright_reader; }

say_where() {
  step "Running. The island, its stations and everything on the air are invented."
  cat <<EOF
Look further, from another terminal:
  the page    http://127.0.0.1:$web_port/
  SQL         psql "$(reader_url)"
              SELECT * FROM emitter_latest;      (sql/README.md has twenty questions more)
  gRPC        $build/server/tools/fixwright emitters --server 127.0.0.1:$rpc_port
              (reflection is on: any general gRPC client lists fixwright.query.v1.QueryService)
  the logs    $data/run/*.log
An ellipse is evidence, never proof of who transmits. Ctrl-C stops everything.

EOF
}

emitters() { "$build/server/tools/fixwright" emitters --server "127.0.0.1:$rpc_port"; }

# On a terminal the table is drawn anew every 2 s; elsewhere it is printed every 10 s.
show_until() {
  local limit=$1 every=10 begun=$SECONDS
  [ ! -t 1 ] || every=2
  while [ "$limit" -eq 0 ] || [ $((SECONDS - begun)) -lt "$limit" ]; do
    sleep "$every"
    check_alive
    [ ! -t 1 ] || printf '\033[H\033[J'
    printf -- '-- %d s on the air\n' $((SECONDS - begun))
    emitters || say "the server did not answer; asking again in $every s"
  done
  summary
}

check_alive() {
  local pid
  for pid in "${pids[@]}"; do
    kill -0 "$pid" 2>/dev/null || { tail -5 "$data"/run/*.log >&2; fail "a program ended by itself, see above"; }
  done
}

summary() {
  step "Summary"
  psql -X -q -d "$(reader_url)" <<'SQL'
\pset footer off
SELECT (SELECT count(*) FROM emitter_latest WHERE state = 'confirmed') AS "confirmed emitters",
       (SELECT count(*) FROM fix_latest WHERE refusal = 'none') AS "fixes",
       (SELECT count(*) FROM bearing_line) AS "bearings",
       (SELECT count(*) FROM alert_open) AS "open alerts";
SQL
}

stop_all() {
  trap - EXIT INT TERM
  step "Stopping what was started"
  local i
  for ((i = ${#pids[@]} - 1; i >= 0; i--)); do
    kill -TERM "${pids[i]}" 2>/dev/null || true
  done
  wait 2>/dev/null || true
  cluster stop "$data/cluster" || true
}
