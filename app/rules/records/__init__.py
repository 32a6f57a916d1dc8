"""What is kept of a competition: roster, marks, rulings, holds, the competition file. Adds nothing up.

- A shift is a ruling, not an edit: it moves the marks made by a clock that was started by hand, in one run; the newest holds,
  and 0 takes it back. So is every other decision: of two on one thing the later holds, `undo` takes back what is older than
  itself, and the order of storage is no matter (property tests).
- A sign-off names what it holds: the numbers of all marks as ranges for each tablet's life, the run of each heat; rulings by
  their time. What comes later is stored, flagged, and shut out by everybody who recounts the file, without a time of receipt
  that a file could not prove. Freezing the result as numbers was decided against: nobody could recount it.
- What is stored means what it meant. Old ledgers must fold, so a field that is new has a default that says what was so
  before.
- Decided against: a kind of mark for totals. Marks on the paper sheet say the same, and every rule for marks holds for them.
"""
