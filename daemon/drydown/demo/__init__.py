"""The demo: a simulated tank that goes the whole way of a real one, faster than real time."""
