#!/usr/bin/env bash
# Builds the sdist and, out of it, the wheel; installs the wheel in a fresh environment elsewhere, takes the right to
# write from all of its files, and runs the demo as somebody who is not root. Needs the network for the dependencies.
#   bash tests/supply/elsewhere.sh [PYTHON]
set -euo pipefail
cd "$(dirname "$0")/../.."
python=${1:-/usr/bin/python3} # one that others than root may run
place=$(mktemp -d)
trap 'chmod -R u+w "$place"; rm -rf "$place"' EXIT
chmod 755 "$place"
"$python" -m venv "$place/build"
"$place/build/bin/pip" install -qq --disable-pip-version-check build
"$place/build/bin/python" -m build -q --outdir "$place/dist" . >/dev/null # the wheel is built out of the sdist
"$python" -m venv "$place/elsewhere"
"$place/elsewhere/bin/pip" install -qq --disable-pip-version-check -c constraints.txt "$place"/dist/*.whl
cp -r tests/supply/run_demo.sh "$place/"
mkdir -m 777 "$place/home"
chmod -R a+rX,a-w "$place/elsewhere"
cd /
if [ "$(id -u)" = 0 ]; then
    setpriv --reuid=65534 --regid=65534 --clear-groups env -i HOME="$place/home" PATH=/usr/bin:/bin \
        bash "$place/run_demo.sh" "$place/elsewhere/bin/markrules"
else
    env -i HOME="$place/home" PATH=/usr/bin:/bin bash "$place/run_demo.sh" "$place/elsewhere/bin/markrules"
fi
