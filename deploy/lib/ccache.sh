# shellcheck shell=bash
# Lets clones in other folders share the compiler cache: paths are hashed as seen from the build
# folder. Needs: say.

# use_ccache ROOT: ROOT is the checkout.
use_ccache() {
  export CCACHE_BASEDIR=$1 CCACHE_NOHASHDIR=1
  export CCACHE_MAXSIZE=${CCACHE_MAXSIZE:-3G}
  local dir=${CCACHE_DIR:-${XDG_CACHE_HOME:-${HOME:-/nonexistent}/.cache}/ccache}
  if ! mkdir -p "$dir" 2>/dev/null || [ ! -w "$dir" ]; then
    export CCACHE_DIR=$1/build/ccache
    say "no cache can be kept in $dir; using $CCACHE_DIR"
  fi
}
