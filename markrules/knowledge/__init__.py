"""Checked entries as one immutable base: loaded, cached, indexed, and asked for what holds."""
