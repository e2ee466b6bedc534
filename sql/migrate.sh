#!/bin/bash
# Brings a database to this checkout's schema: sql/migrations in order, then sql/views.
#
#   sql/migrate.sh "host=... dbname=fixwright user=fixwright_owner"
#
# The role must own the database; PostGIS must be in it, or the role be a superuser. Each
# migration is one transaction: after a failure the database is at the one before. Run it
# again whenever you like: what is applied is not applied twice.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
[ $# -eq 1 ] || { echo 'usage: sql/migrate.sh "host=... dbname=... user=..."' >&2; exit 2; }
connection=$1

sql() { PGOPTIONS="-c client_min_messages=warning" psql -X -q -v ON_ERROR_STOP=1 -d "$connection" "$@"; }
ask() { sql -A -t -c "$1"; }
fail() { echo "migrate.sh: $*" >&2; exit 1; }

newest=$(basename "$(printf '%s\n' "$here"/migrations/*.sql | sort | tail -1)")
newest=$((10#${newest%%_*}))
name=$(ask 'SELECT current_database()') ||
  fail "can't reach the database: check the connection given"

version=0
if [ "$(ask "SELECT to_regclass('public.schema_version') IS NOT NULL")" = t ]; then
  version=$(ask 'SELECT coalesce(max(version), 0) FROM schema_version')
fi
[ "$version" -le "$newest" ] ||
  fail "database $name is at schema version $version, these files know $newest: use a newer checkout, nothing was changed"

for file in "$here"/migrations/*.sql; do
  number=$(basename "$file")
  number=$((10#${number%%_*}))
  [ "$number" -gt "$version" ] || continue
  sql -f "$file" || fail "$(basename "$file") failed: database $name stays at version $((number - 1))"
  echo "migrate.sh: applied $(basename "$file")"
done

for file in "$here"/views/*.sql; do
  view=$(basename "$file")
  sum=$(md5sum "$file" | cut -d' ' -f1)
  [ "$(ask "SELECT md5 FROM view_version WHERE name = '$view'")" != "$sum" ] || continue
  sql --single-transaction -f "$file" -c "INSERT INTO view_version (name, md5) VALUES ('$view', '$sum')
    ON CONFLICT (name) DO UPDATE SET md5 = excluded.md5" || fail "views/$view failed"
  echo "migrate.sh: applied views/$view"
done
echo "migrate.sh: database $name is at schema version $newest"
