"""A piece documented: provenance sheet, listing text, claims check, open-standard exports."""
