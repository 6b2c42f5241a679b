#!/bin/sh
# Checks a library of builds on any CI service: installs riglint beside everything else, writes the
# reports into a folder for the service to pick up, and ends with the exit status of the check.
#
#   RIGLINT=git+https://git.example.com/loft/riglint@v0.1.0 sh check.sh [LIBRARY [REPORTS]]
#
# RIGLINT is where your copy of riglint is installed from: a git address, a folder, a wheel, or a
# name and version on your own package index. PYTHON is the Python to use, 3.11 or later.
set -eu

: "${RIGLINT:?say where riglint is installed from}"
library=${1:-.}
reports=${2:-reports}

place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
"${PYTHON:-python3}" -m venv "$place"
"$place/bin/python" -m pip install --quiet --disable-pip-version-check "$RIGLINT"

mkdir -p "$reports"
status=0
"$place/bin/riglint" check "$library" \
  --report text \
  --report json="$reports/riglint.json" \
  --report sarif="$reports/riglint.sarif" \
  --report junit="$reports/riglint.xml" \
  --report markdown="$reports/riglint.md" || status=$?

case $status in
  0) echo "riglint: nothing that fails was found" ;;
  1) echo "riglint: there are findings that fail; see above" ;;
  *) echo "riglint: something could not be read or checked; see above" ;;
esac
exit "$status"
