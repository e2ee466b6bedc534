#!/bin/bash
# Every C++ file is as clang-format 14 writes it, by the .clang-format of the root.
set -euo pipefail

root=$1
formatter=$(command -v clang-format-14) || {
  echo "clang-format-14 is missing: deploy/lib/packages.sh install test"
  exit 1
}
cd "$root"
mapfile -d '' files < <(find . \( -path ./build -o -path ./.git -o -path ./tests/lint/bad -o \
  -name node_modules \) -prune -o \( -name '*.cpp' -o -name '*.hpp' \) -print0)
if [ ${#files[@]} -eq 0 ]; then
  echo "nothing to check: no C++ files found"
  exit 1
fi
if printf '%s\0' "${files[@]}" | xargs -0 -n 40 -P 2 "$formatter" --dry-run -Werror; then
  echo "${#files[@]} C++ files are well formatted"
else
  echo "run: clang-format-14 -i FILE"
  exit 1
fi
