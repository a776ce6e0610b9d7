"""Pure planning: what to do about what science says."""
