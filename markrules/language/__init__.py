"""Rule text to checked entries: grammar, parser, checker, formatter. Knows no jewelry."""
