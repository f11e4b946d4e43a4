"""markrules: from what is seen on a piece of jewelry to when, by whom, how sure and why."""

__version__ = "0.1.0"
