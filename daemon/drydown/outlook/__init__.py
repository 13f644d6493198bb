"""When to bubble: what the air may be like in the day ahead, and what a start at each hour would bring."""
