"""The pattern page: every element of the pages on one sheet."""
