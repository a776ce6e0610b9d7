"""Plan: what to cut, keep and sell, and what it brings."""
