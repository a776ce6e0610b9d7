"""Tonight: the round, noted with one tap."""
