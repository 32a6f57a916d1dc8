"""What is kept of a competition, and who may write it: roster, marks, seats, rulings, holds, its file. Adds nothing up.

- Who may make which mark at which moment, and what it then does, is one table (authority.py). The server asks it and the tablets
  ask the same rows: told twice, the two had come to differ, and a loader's marks were not sent again after an older backup.
- A seat is at a place (a lane today), never a lane's number in the table.
- A shift is a ruling, not an edit: it moves the marks made by a clock that was started by hand, in one run; the newest holds,
  and 0 takes it back. So is every other decision: of two on one thing the later holds, `undo` takes back what is older than
  itself, and the order of storage is no matter (property tests).
- A sign-off holds, of each tablet's life, the numbers of the marks that counted, a print of each and the head of their chain;
  the run of each heat; rulings by their time. What comes later is stored, flagged, and shut out by everybody who recounts the
  file. Ranges of numbers alone did not hold: numbers used again under new ids moved a signed score. Sign-offs of older versions
  hold by number still, and say that they can't prove more. Freezing the result as numbers was decided against: nobody could
  recount it. So were prints of 64 digits for each mark: 16 can't be met on purpose, and the head covers all together.
- One number of a tablet's life has one mark, and one id says one thing. Of doubles both are kept: the one counts that a sign-off
  held or that was ruled, else none, so no order of arrival decides (numbers.py). A unique index that keeps the first was decided
  against: the first to arrive may be the forged one.
- What is stored means what it meant. Old ledgers must fold, so a field that is new has a default that says what was so
  before.
- Decided against: a kind of mark for totals. Marks on the paper sheet say the same, and every rule for marks holds for them.
"""
