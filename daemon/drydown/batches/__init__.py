"""A batch from its filling to its last litre: what came of it, and where it went."""
