"""The doors for the terminal: one file a group of commands."""
