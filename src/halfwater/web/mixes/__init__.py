"""Mixes: feeds, mixes and how much to measure."""
