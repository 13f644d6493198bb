"""What the pages say of many runs: the list, runs laid over each other, trends."""
