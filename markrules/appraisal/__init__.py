"""What a piece is worth and what to do with it, from the owner's own figures and the rules."""
