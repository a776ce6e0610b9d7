"""Every test of the pages has a book of its own."""

import pytest


@pytest.fixture(autouse=True)
def book(db: None) -> None:
    """An empty book."""
