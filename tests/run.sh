#!/usr/bin/env bash
# Builds .venv beside this checkout, installs markrules with its test extras in the versions of
# constraints.txt, and runs all tests on all cores. MARKRULES_SAMPLES=full tries every property with all of its samples.
set -euo pipefail
cd "$(dirname "$0")/.."
python3 -m venv .venv
# What the tests import is compiled when it is imported; to compile all that is installed takes longer.
.venv/bin/python -m pip install --quiet --disable-pip-version-check --no-compile -c constraints.txt -e '.[test]'
unset PYTHONDONTWRITEBYTECODE  # tests start some two hundred processes: each would compile all anew
.venv/bin/python -m pytest -n auto --dist loadfile --no-loadscope-reorder "$@"
