"""Set-up: from nothing to the first round."""
