#!/usr/bin/env bash
# What somebody does first with an installed markrules: each must end well, and read what came with the package.
set -euo pipefail
markrules=$1
[ "$(id -u)" != 0 ] || { echo "root may write everywhere: this shows nothing" >&2; exit 1; }
cd "$HOME"
"$markrules" --version
"$markrules" demo >demo.txt
"$markrules" read "brooch, rollover catch" | grep -q "^brooch: "
"$markrules" box start "invented tin" >/dev/null
"$markrules" box add "invented tin" "brooch, rollover catch" >/dev/null
"$markrules" sheet make "invented tin" 1 >sheet.txt
grep -qF "knowledge $("$markrules" --version | sed 's/markrules //; s/, rules /+/')" demo.txt
echo "the demo of $(wc -l <demo.txt) lines, a reading, a box and a sheet, by user $(id -u)"
