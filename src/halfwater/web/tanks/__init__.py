"""Tanks: each tank, its answer, its entries."""
