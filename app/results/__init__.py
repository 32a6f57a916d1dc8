"""What is published: explanations, CSV, the competition file, the recount, other halls. Reads results, changes none.

- A competition file is read as JSON, strictly: true is no number, "5" is none. Names that are there twice, NaN and depth are
  found before, by the plain reader. Numbers come as digits with a bound on their length; no exponent is ever read, so
  1e999999999 costs nothing. Nothing that comes in is unpacked: a zip, gzip or spreadsheet is told to be one.
- It is written mark by mark: at its most 19 MB for 21,000 marks in place of 38.
- No cell of a CSV runs: an apostrophe before whatever a spreadsheet would take for a formula, also after a line break, a
  semicolon or a tab within a cell, where another locale parts it; numbers stay numbers. A test asks for every address that
  ends in .csv.
"""
