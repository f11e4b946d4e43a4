"""The checks of a rule base, one module for each kind of question."""
