"""A real editor, switched on word for word as docs/editor.md says; skipped where there is none."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "editor.md"

FILES = {
    "family.rules": """more clasp
    value stamped-bow "a stamped bow"

clue grandmothers-bow
    when clasp is stamped-bow and catch is rollovr
    made  mostly 1921 to 1926
    trust moderate
    why   "On three dated pieces of one family."
    cite  from-memory
""",
    "more.rules": """clue bow-again
    when   clasp is stamped-bow and metal is sterling
    made   mostly 1920 to 1926
    trust  moderate
    why    "Seen."
    cite   from-memory
""",
}

SESSION = """
local told = {}
local function find(text)
  for at, line in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    local column = line:find(text, 1, true)
    if column then return at, column - 1 end
  end
end
local function go_to(text, within)
  local at, column = find(text)
  vim.api.nvim_win_set_cursor(0, { at, column + (within or 0) })
end
local function client() return vim.lsp.get_clients({ bufnr = 0 })[1] end
local function ask(method, more)
  local given = vim.lsp.util.make_position_params(0, client().offset_encoding)
  for key, value in pairs(more or {}) do given[key] = value end
  for _, answer in pairs(vim.lsp.buf_request_sync(0, method, given, 20000) or {}) do
    return answer.result
  end
end
local function problems()
  return vim.tbl_filter(function(each) return each.severity == 1 end, vim.diagnostic.get(0))
end

vim.cmd.edit("family.rules")
vim.wait(30000, function() return client() ~= nil and client().initialized end, 20)
vim.wait(30000, function() return #problems() > 0 end, 20)
told.problems = vim.tbl_map(function(each) return each.message end, problems())
go_to("clasp is", 2)
told.hover = ask("textDocument/hover").contents.value
told.definition = ask("textDocument/definition").uri
go_to("clasp is", 9)
local offered = ask("textDocument/completion")
told.offered = vim.tbl_map(function(each) return each.label end, offered.items or offered)
go_to("rollovr", 1)
vim.lsp.buf.code_action({ apply = true })
vim.wait(10000, function() return find("rollover") ~= nil end, 20)
vim.wait(10000, function() return #problems() == 0 end, 20)
told.mended = #problems() == 0
go_to("stamped-bow", 2)
vim.lsp.buf.rename("pressed-bow")
vim.wait(10000, function() return find("pressed-bow") ~= nil end, 20)
vim.lsp.buf.format({ timeout_ms = 10000 })
vim.cmd("wall")
io.stdout:write(vim.json.encode(told))
"""


def editor() -> str:
    """Where Neovim is, of a version that the page is written for. Skips the test without one."""
    found = shutil.which("nvim")
    if found is None:
        pytest.skip("Neovim is not installed")
    told = subprocess.run([found, "--version"], capture_output=True, text=True, check=True).stdout
    version = re.search(r"v(\d+)\.(\d+)", told)
    if version is None or (int(version[1]), int(version[2])) < (0, 11):
        pytest.skip("Neovim is older than 0.11")
    return found


def told_on_the_page(heading: str) -> str:
    """The first block of code below a heading that begins so."""
    page = PAGE.read_text(encoding="utf-8")
    below = page.partition(f"\n## {heading}")[2]
    block = re.search(r"(?:^    .*\n|^\n)+", below, re.MULTILINE)
    assert block is not None
    return re.sub(r"^    ", "", block[0], flags=re.MULTILINE)


@pytest.mark.slow
def test_neovim_as_the_page_says(tmp_path: Path) -> None:
    nvim = editor()
    home, rules = tmp_path / "home", tmp_path / "my-rules"
    for folder in (home, rules, tmp_path / "bin"):
        folder.mkdir()
    for name, text in FILES.items():
        (rules / name).write_text(text, encoding="utf-8")
    (home / "init.lua").write_text(told_on_the_page("Neovim"), encoding="utf-8")
    (home / "session.lua").write_text(SESSION, encoding="utf-8")
    command = tmp_path / "bin" / "markrules"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m markrules "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    places = {f"XDG_{each}_HOME": str(home / each) for each in ("CONFIG", "STATE", "DATA")}
    path = f"{command.parent}{os.pathsep}{os.environ['PATH']}"
    found = subprocess.run(
        [
            *(nvim, "-n", "--headless", "-u", str(home / "init.lua")),
            *("-c", f"luafile {home / 'session.lua'}", "-c", "qa!"),
        ],
        cwd=rules,
        env={**os.environ, **places, "PATH": path},
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    told = json.loads(found.stdout[found.stdout.index("{") :])

    assert [each for each in told["problems"] if 'nearest: "rollover"' in each]
    assert "stamped-bow" in told["hover"]
    assert told["definition"].endswith(".rules")
    assert "stamped-bow" in told["offered"]
    assert told["mended"]
    texts = {name: (rules / name).read_text(encoding="utf-8") for name in FILES}
    assert not [name for name, text in texts.items() if "stamped-bow" in text]
    assert "    when   clasp is pressed-bow and catch is rollover\n" in texts["family.rules"]
