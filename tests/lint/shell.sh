#!/bin/bash
# Every shell script parses, stops at its first failure, and has no fault that shellcheck knows.
set -euo pipefail

root=$1
command -v shellcheck >/dev/null || {
  echo "shellcheck is missing: deploy/lib/packages.sh install test"
  exit 1
}
cd "$root"

is_script() {
  local first=
  IFS= read -r -n 40 first <"$1" 2>/dev/null || true
  [[ $first =~ ^#!.*[/\ ](ba)?sh$ ]]
}

problems=0
count=0
while IFS= read -r -d '' file; do
  is_script "$file" || continue
  count=$((count + 1))
  bash -n "$file" || problems=$((problems + 1))
  shellcheck --severity=warning --format=gcc --external-sources "$file" || problems=$((problems + 1))
  # A line of `exec` alone has nothing after it that could go on.
  if ! grep -qE '^set -[a-z]*e' "$file" && [ "$(grep -cvE '^(#|$)' "$file")" -gt 1 ]; then
    echo "$file: has no \"set -euo pipefail\": it goes on after a failure"
    problems=$((problems + 1))
  fi
done < <(find . \( -path ./build -o -path ./.git -o -path ./tests/lint/bad -o -name node_modules \) \
  -prune -o -type f \( -name '*.sh' -o ! -name '*.*' -o -path './.ci/*' \) -print0)
echo "$count shell scripts, $problems problems"
[ "$problems" -eq 0 ] && [ "$count" -gt 0 ]
