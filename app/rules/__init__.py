"""The rule book: pure functions from values to values. No I/O, no clock, no randomness, no framework."""
