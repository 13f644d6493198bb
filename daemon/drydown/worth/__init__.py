"""What another probe or test would bring in this house, found by living one of its own runs with it."""
