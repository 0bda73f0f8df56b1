"""What follows from a setup: pure functions, one module a topic, worked out through the graph."""
