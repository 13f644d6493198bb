"""A vehicle's tank in the cold: how much of one's own fuel it can take."""
