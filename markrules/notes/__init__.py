"""Free-text notes in plain words, turned into observations. All vocabulary comes from the rules."""
