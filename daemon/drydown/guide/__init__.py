"""Pages for people that are written from the tables that the code runs on, so that they can't go stale."""
