"""`python -m markrules` is the same as `markrules`."""

from markrules.cli import main

main()
