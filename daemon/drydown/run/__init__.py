"""Runs: the stages of a batch and the blower's hours."""
