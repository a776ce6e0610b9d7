"""halfwater: the record book and the reckoning of a small nursery of aquarium plants."""

__version__ = "0.4.0"
