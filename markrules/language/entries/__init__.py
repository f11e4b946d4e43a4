"""The types of entries, by subject: one frozen dataclass for each kind. `tree` has all of them.

Every entry has `name`, `span` (of the name) and, where the kind allows, `cites`.
"""
