"""Benches of what is larger than any hall: a store of a million marks, several server processes on PostgreSQL."""
