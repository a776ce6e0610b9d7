"""The tests. A package, so that no library that brings tests of its own stands before them."""
