"""The demo: an invented competition, part way through, whose judges are simulated."""
