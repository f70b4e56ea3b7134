#!/bin/sh
# Keeps the tables of the release that is checked out, with the demo in them: sh tests/released/keep.sh 1.0
# DATABASE_URL may name an empty PostgreSQL database; without it the copy is one of SQLite.
set -eu
version=$1
here=$(cd "$(dirname "$0")" && pwd)
kind=sqlite
[ -z "${DATABASE_URL:-}" ] || kind=postgresql
STUDIO_DIR=$(mktemp -d)
SHOPFLOOR_PLAN_EFFORT=5
export STUDIO_DIR SHOPFLOOR_PLAN_EFFORT
trap 'rm -rf "$STUDIO_DIR"' EXIT
cd "$here/../.."
python3 manage.py migrate --verbosity 0
python3 manage.py demo
python3 manage.py sign_in_link >/dev/null
python3 manage.py backup "$here/$version-$kind.tar.gz"
