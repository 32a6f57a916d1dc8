"""Whole competitions to begin from: a row of a table and a few answers become a competition. Touches reading and all below it.

- A row (app/library/competitions.json) holds texts and numbers alone. An event in it is a written workout, taken by the
  reader that takes everybody's.
- What comes of it is a roster like any other: divisions, events, overall, the day's rules. Only entries are missing.
"""
