"""Where the demo box lies: inside an installed package, or beside the source."""

from __future__ import annotations

from pathlib import Path

import markrules

PACKAGE = Path(markrules.__file__).parent


def demo_folder() -> Path:
    """The folder of the invented demo box."""
    packed = PACKAGE / "_reference_demo"
    return packed if packed.is_dir() else PACKAGE.parent / "reference_demo"
