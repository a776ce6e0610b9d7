"""What programs ask for and are told, as JSON."""
