"""A line of a written workout as words of the grammar: pieces, known phrases and movements, slips, numbers with their units.

- Ordinary talk is told from names of things by a table of plain words; a word that may change what counts is never talk.
- A misspelt word is read as the one known word that is a slip away, where that means something, and the organiser is told so.
"""
