"""From tallies to places, and why: scores, ties, standings, overall, explanations, seals, halls. Reads no clock.

- A score can be compared and explained: finished in 9:42, or capped with 13 repetitions left, or 487. Status and penalties
  come after the score.
- Where a total asks for a good lift in each, who lacks one is ranked behind while it can still be made, and then not at all: a
  standing without those who have yet to pull would be empty for most of a meet. Lifts that were made stay shown.
- What would pass is tried, not worked out (chasing.py): the standing is ranked as if a load had been lifted, and halving
  finds the least one, so ties, rounding, penalties and variants hold of themselves. Only the leader and the nearest three are
  tried.
- A worked example is played: plain numbers become marks, and tally, score and explanation are the rule book's. A changed rule
  changes the example; nobody has to remember to.
- Several halls become one competition file, so that one set of rules ranks all and anybody can recount it. Of a twin the hall
  that was taken in first counts until a person says otherwise: a doubled athlete would be the worse mistake.
- A sealed file holds the chains of its tablets' marks, a digest of each event and one of the whole. What is printed on a
  results sheet is the digest: whoever changes the file can seal it anew, but not the paper. A signature was decided against:
  nobody in a hall knows whose key it would be.
- An overall standing is kept column by column (overall.py), its lines cell by cell: of seven events one changes at a time. For
  1,000 entries 3.1 ms in place of 7.4, worked out anew 6.4 of 7.0; for 5,000 with points by percent or formula a third.
- Standings of many (standings_many.py): places by counting values instead of sorting, count-back by comparing whole columns,
  sort keys packed into words of 62 bits and only ties sorted again; 0.35 of numpy's own way at 100,000 entries. Rows are made
  when they are looked at. Numpy for one hall was decided against: loading it costs more than ranking a thousand entries.
"""
