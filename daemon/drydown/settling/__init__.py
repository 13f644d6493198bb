"""What sinks to the bottom of a tank at rest: how far it has fallen, and what drains tell of it."""
