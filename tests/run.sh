#!/usr/bin/env bash
# Builds .venv beside this checkout, installs markrules with its test extras, and runs all tests.
set -euo pipefail
cd "$(dirname "$0")/.."
python3 -m venv .venv
.venv/bin/python -m pip install --quiet --disable-pip-version-check -e '.[test]'
.venv/bin/python -m pytest "$@"
