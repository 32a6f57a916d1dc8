"""Benches of a lifting platform."""
