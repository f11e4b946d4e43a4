"""Help for editors: a language server for rule files, over the same parser and checks."""
