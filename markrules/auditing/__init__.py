"""How well readings hold against pieces whose years are known from elsewhere."""
