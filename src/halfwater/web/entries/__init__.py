"""Entries: put right, taken back, their photos."""
