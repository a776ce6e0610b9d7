"""Plain frozen data that crosses the house: no Django, no numpy, no behaviour."""
