"""The packing bench: parcels of a ship day, one at a time."""
