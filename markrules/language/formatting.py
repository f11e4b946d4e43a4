"""Format rule files in place: `python -m markrules.language.formatting FILE_OR_FOLDER ...`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from markrules.language.check_command import rule_files
from markrules.language.formatter import format_text
from markrules.language.line_words import LARGEST_FILE
from markrules.language.messages import show
from markrules.plain_files import read_plain


def main(arguments: Sequence[str]) -> int:
    """Format each file; 1 where one has problems and was left alone, else 0."""
    broken = 0
    for file in rule_files([Path(argument) for argument in arguments]):
        text = read_plain(file, LARGEST_FILE).decode("utf-8")
        formatted, problems = format_text(text, str(file))
        for problem in problems:
            print(show(problem, text), end="\n\n")
        broken += bool(problems)
        if formatted != text:
            file.write_text(formatted, encoding="utf-8", newline="\n")
            print(f"formatted {file}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
