#!/bin/bash
# Runs sql/checks: each query finds rows that should not be. Exit 0: none; 1: some, printed.
#
#   sql/check.sh "host=... dbname=fixwright user=fixwright_owner"
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
[ $# -eq 1 ] || { echo 'usage: sql/check.sh "host=... dbname=... user=..."' >&2; exit 2; }

bad=0
for file in "$here"/checks/*.sql; do
  rows=$(psql -X -q -A -t -v ON_ERROR_STOP=1 -d "$1" -f "$file") ||
    { echo "check.sh: $(basename "$file") could not run" >&2; exit 1; }
  [ -n "$rows" ] || continue
  bad=1
  echo "check.sh: $(basename "$file") found:"
  echo "$rows"
done
[ $bad -eq 0 ] && echo "check.sh: no check found anything"
exit $bad
