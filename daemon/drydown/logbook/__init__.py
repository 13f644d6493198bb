"""What people enter about a batch that no probe tells: tests, what was drained, where fuel went, upkeep."""
