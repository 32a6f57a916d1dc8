"""Benches of stores that are larger than any hall's."""
