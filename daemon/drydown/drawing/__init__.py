"""Fuel drawn by its own weight: how fast it runs, how long that takes, and what wears meanwhile."""
