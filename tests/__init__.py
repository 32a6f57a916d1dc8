"""The tests. A package of its own name, because one of the data sets that tests read installs another `tests` beside it."""
