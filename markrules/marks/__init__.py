"""Marks on a piece: search by what is left, registers, hallmarks, metal marks, stone sizes."""
