"""The record book: what the grower noted and set up, kept for good."""
