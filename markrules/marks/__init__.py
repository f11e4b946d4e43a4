"""Marks on a piece: partial-mark search, numbers of registers, hallmarks, metal marks, stone sizes."""
