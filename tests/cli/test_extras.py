"""What needs a part that is not installed says which, and names an extra that exists."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

import pytest
from command import TRACEBACK, markrules

ROOT = Path(__file__).parents[2]
CALL = re.compile(r"""to_install\(["'](\w+)["']\)""")


def test_every_extra_that_is_named_exists() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    texts = [path.read_text(encoding="utf-8") for path in (ROOT / "markrules").rglob("*.py")]
    named = {name for text in texts for name in CALL.findall(text)}
    assert named == set(project["optional-dependencies"]) - {"test"}
    assert not any("pip install 'markrules" in text for text in texts), "the name is no address"


@pytest.mark.parametrize(
    ("missing", "words", "code", "told"),
    [
        ("numpy", ("lamps", "a.jpg", "b.jpg", "c.jpg", "--mark", "1,1,9,9"), 1, "'.[photo]'"),
        ("distributed", ("read", "--batch", "some.jsonl", "--dask", "local"), 3, "'.[dask]'"),
        ("pygls", ("rules", "editor"), 3, "'.[editor]'"),
    ],
)
def test_without_it_the_extra_is_told(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    missing: str,
    words: tuple[str, ...],
    code: int,
    told: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("a.jpg", "b.jpg", "c.jpg"):
        Path(name).write_bytes(b"x")
    Path("some.jsonl").write_text('{"note": "brooch"}\n')
    for name in [name for name in sys.modules if name.partition(".")[0] == missing]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delitem(sys.modules, "markrules.editor.server", raising=False)
    monkeypatch.setitem(sys.modules, missing, None)
    done = markrules(*words)
    assert (done.returncode, TRACEBACK in done.stderr) == (code, False), done.stderr
    assert told in done.stderr
