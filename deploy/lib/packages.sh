#!/bin/bash
# The Debian packages that Fixwright needs, and how they get onto the machine.
#
#   packages.sh install [run|test]   installs what is missing (test: what the tests need too)
#   packages.sh missing [run|test]   prints what is missing, one a line; installs nothing
#
# Debian 12, as root or as a user who may use sudo. Nothing is asked, nothing is removed or
# upgraded, and apt isn't called at all when nothing is missing. Installing PostgreSQL here
# makes and starts no database cluster: deploy/lib/cluster.sh makes private ones.
set -euo pipefail

# To build and to run. npm and nodejs are added where there is no npm (see wanted_packages).
readonly build_packages=(
  build-essential cmake ninja-build ccache pkg-config git ca-certificates
  libgrpc++-dev protobuf-compiler-grpc libprotobuf-dev protobuf-compiler
  libpqxx-dev libpq-dev libsqlite3-dev libcurl4-openssl-dev libssl-dev
  libpugixml-dev
  libgeographiclib-dev libeigen3-dev libfftw3-dev libsoapysdr-dev
  libfmt-dev libspdlog-dev libtomlplusplus-dev libcli11-dev nlohmann-json3-dev libboost-dev
)
readonly server_packages=(postgresql-15 postgresql-15-postgis-3)
readonly test_packages=(
  libgtest-dev libgmock-dev libbenchmark-dev libceres-dev chromium clang-format-14 shellcheck
  gdal-bin libxml2-utils python3 python3-jsonschema
)

fail() {
  echo "packages: $*" >&2
  exit 1
}

say() { echo "packages: $*" >&2; }

wanted_packages() {
  printf '%s\n' "${build_packages[@]}" "${server_packages[@]}"
  # An npm from elsewhere is as good, and Debian's would clash with it.
  command -v npm >/dev/null || printf '%s\n' nodejs npm
  [ "$1" != test ] || printf '%s\n' "${test_packages[@]}"
}

missing_packages() {
  local installed
  installed=$(dpkg-query -W -f '${db:Status-Status} ${Package}\n' | sed -n 's/^installed //p')
  wanted_packages "$1" | grep -vxF -e "$installed" || true
}

need_debian_12() {
  local name=unknown
  if [ -r /etc/os-release ]; then
    # shellcheck source=/dev/null
    name=$(. /etc/os-release && echo "${ID:-unknown} ${VERSION_ID:-}")
  fi
  [ "$name" = "debian 12" ] ||
    fail "this machine is $name; needed: debian 12. Its packages are named in deploy/lib/packages.sh."
}

# Runs a command as root.
as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  else
    sudo -- "$@"
  fi
}

need_root() {
  [ "$(id -u)" -ne 0 ] || return 0
  command -v sudo >/dev/null ||
    fail "packages are missing ($1) and there is no sudo: run deploy/lib/packages.sh install test as root once"
  sudo -n true 2>/dev/null || { [ -t 0 ] && say "sudo may ask for your password" && sudo -v; } ||
    fail "packages are missing ($1) and sudo refuses: run deploy/lib/packages.sh install test as root once"
}

# apt, without questions, waiting for another apt to end; what it prints is kept for a failure.
apt() {
  # sudo drops the proxy's name, and apt needs it.
  as_root env DEBIAN_FRONTEND=noninteractive NEEDRESTART_MODE=l \
    ${http_proxy:+http_proxy="$http_proxy"} ${https_proxy:+https_proxy="$https_proxy"} \
    apt-get -q -y -o DPkg::Lock::Timeout=600 -o Dpkg::Use-Pty=0 "$@" >>"$log" 2>&1
}

apt_failed() {
  grep -E '^(E:|Err:|dpkg: error)' "$log" | tail -n 5 >&2 || true
  local kept
  kept=${TMPDIR:-/tmp}/fixwright-apt-$(id -u).log
  mv "$log" "$kept"
  fail "apt-get $1 failed: is the network up, and is a mirror in /etc/apt? All it said: $kept"
}

# While postgresql-15 is installed, Debian's habit of making a cluster is off.
readonly no_cluster=/etc/postgresql-common/createcluster.d/fixwright-installing.conf

hold_back_cluster() {
  as_root mkdir -p "$(dirname "$no_cluster")"
  echo "create_main_cluster = false" | as_root tee "$no_cluster" >/dev/null
}

clean_up() {
  [ ! -e "$no_cluster" ] || as_root rm -f "$no_cluster"
  rm -f "$log"
}

install() {
  local missing
  mapfile -t missing < <(missing_packages "$1")
  if [ ${#missing[@]} -eq 0 ]; then
    say "all are installed"
    return 0
  fi
  need_debian_12
  need_root "${missing[*]:0:3}, …"
  log=$(mktemp)
  trap clean_up EXIT
  say "reading the lists of packages"
  apt update || apt_failed update
  say "installing ${#missing[@]} packages and what they need: ${missing[*]}"
  hold_back_cluster
  apt install --no-install-recommends -- "${missing[@]}" || apt_failed install
  say "installed"
}

set_name=${2:-test}
case "$set_name" in run | test) ;; *) fail "no set of packages is called $set_name: run or test" ;; esac
case "${1:-}" in
  install) install "$set_name" ;;
  missing) missing_packages "$set_name" ;;
  *) sed -n '4,5s/^#   /usage: /p' "$0" >&2 && exit 2 ;;
esac
