"""Pictures: plain data to SVG or to a chart's spec. Nothing is read or kept here."""
