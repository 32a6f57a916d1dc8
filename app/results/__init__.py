"""What is published: explanations, CSV, the competition file, the recount, other halls. Reads results, changes none.

- A competition file is read as JSON, strictly: true is no number, "5" is none. Names that are there twice, NaN and depth are
  found before, by the plain reader. Numbers come as digits with a bound on their length; no exponent is ever read, so
  1e999999999 costs nothing. Nothing that comes in is unpacked: a zip, gzip or spreadsheet is told to be one.
- It is written mark by mark: at its most 19 MB for 21,000 marks in place of 38. From 5,000 marks on the desk's is made by a
  process of its own (apart.py): what it took goes with it, and judges wait for none of it.
- What a record names must be in the file; a file that names a mark that had not come says so itself (`awaited`), for a ledger
  that was restored must be readable again. Of 600 random forgeries 11 changed a result under its printed digest while a list said
  what the digest covers; now it is taken over what the recount is handed (rules/records/resting.py), and none does.
- A public file is cut down to what results rest on. Publishing the seal of the whole file beside it was decided against:
  nobody could check it. A bodyweight stays where an event parts equal scores by it, also where no two are equal: who is tied
  changes while an event runs, and what was published can't be taken back.
- Whose a file is follows from a secret of the ledger, not from marks that two files share: a gym that began from another's file
  and had no marks yet was dropped as a version of it, and one mark copied from a rival's file dropped the rival's. Joining 20, 40
  and 80 halls of 40 entries and 3,360 marks takes 0.5, 1.1 and 2.6 s of one core; with lists the first two took 4.7 and 38 s.
- Of another hall's file nothing is made twice: reading it, its seal, its records under ids of their own. A mark of this hall has
  this hall told anew and all joined; six halls' 48,000 marks beside 6,000 here took 3.1 s of the processor for each mark or two
  that came, now 0.45.
- Another hall begins from a start file, not from the whole file: with its secret the salts of the hall's public file could be
  reckoned, and a file made of start, public marks and others put the hall's own aside as an older version. Handing out the whole
  file without its secret was decided against: notes, judges and reaches would go along.
- No cell of a CSV runs: an apostrophe before whatever a spreadsheet would take for a formula, also after a line break, a
  semicolon or a tab within a cell, where another locale parts it; numbers stay numbers. A test asks for every address that
  ends in .csv.
"""
