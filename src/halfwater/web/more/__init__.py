"""More: settings, password, export, cautions."""
