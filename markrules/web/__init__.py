"""The bench page: the same work as the command line, in a browser at the table."""
