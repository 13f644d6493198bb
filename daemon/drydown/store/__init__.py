"""The store: what was recorded, kept."""
