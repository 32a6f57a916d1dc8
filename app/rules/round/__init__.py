"""The round: one event in many gyms, some of the films looked at, and one standing that anybody works out from the records again.

- What headquarters does is a ledger too: hand-ins, claims, looks, decisions, the draw, appeals and invitations are numbered
  records (records.py). Nothing is altered; a new hand-in or claim replaces an older one, and both are kept. `fold` makes the
  state of every line of them, whatever order they come in and however often; what may not be done is refused with a sentence and
  changes nothing.
- What may follow what is one table (moves.py); what else must be so, such as that nobody looks at a film of the own gym, stands
  in guards.py. Windows, shares, numbers of looks and the scale are the kit's (rule.py); none of them is in code.
- A time in a record is headquarters' label of its arrival. The order is the numbers'.
- A looked line and an unlooked one are measured alike: while every look is near the claim, the claim stands as it was made. Looks
  are compared as scores, each with what it does not credit left out.
- A correction is a line that came out worse than it was claimed, or was refused. One who claimed too little is corrected as well,
  but that opens no gym.
- The draw can be steered by nobody alone: the root of all lines is published first, then dice are rolled; both make the seed.
- A film is later than the opening, by a word that nobody can know before it (words.py), and so is a hand-in. Neither is proven to
  be of the person it names.
- A doubt (doubting.py) changes no score. A recount of the marks names a doubt that they give and the book has not.
- A proof of one line (proving.py) shows what was claimed, under the root that was published before the dice. It says nothing of
  looks or places: those follow from all records, so a short proof of a place would be headquarters' word and no more.
- Decided against: letting a head judge give a line another value than the scale does. What the scale can't see is said in an
  appeal, by another head judge, with a reason.
"""
