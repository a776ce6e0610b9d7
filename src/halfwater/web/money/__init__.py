"""Money: what plants cost and earn."""
