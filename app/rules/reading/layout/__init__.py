"""How a text lies on its page: words and names broken over lines, stamps of a film's time, tables with a row of headings.

- A cell of a table is read as any words are; what its column is called says what a bare number in it counts. A row that does not
  fit its headings is read as a line.
- Stamps are taken off only where a film's are plain: in brackets, at the beginning of most lines, growing by less than a minute.
"""
