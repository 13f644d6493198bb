"""A run as a picture: from the effects of its core to the text of an SVG file. Pure; no library."""
