"""Line drawings of what there is to look for, by feature and value, where they are present."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path


@dataclass(frozen=True)
class Drawings:
    """The drawings in a folder; its index maps `feature/value` to a file's name."""

    folder: Path

    @cached_property
    def index(self) -> dict[str, str]:
        """File names by `feature/value`; those that are not there are left out."""
        path = self.folder / "index.json"
        if not path.is_file():
            return {}
        named: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))
        return {key: name for key, name in named.items() if (self.folder / name).is_file()}

    @cached_property
    def files(self) -> dict[str, bytes]:
        """The bytes of every drawing that the index names; nothing else is served."""
        return {name: (self.folder / name).read_bytes() for name in set(self.index.values())}

    def of(self, feature: str, value: str = "") -> str:
        """The address of the drawing of a value, or an empty text."""
        name = self.index.get(f"{feature}/{value}" if value else feature, "")
        return f"/drawings/{name}" if name else ""
