"""The only SQL: tables, the single writer, the ledger, backups. Knows values of the rule book, no job and no page.

- One writer: requests queue their marks, one thread commits them together and all are answered after that commit. WAL with
  synchronous=FULL costs one sync for forty tablets; reads have connections of their own and never wait. Several writers on
  SQLite gave the worst tails of all that was measured.
- Connections keep little (engines.py): eight readers in turns, each with its pages and 128 statements, and backups beside them
  came to 14 MB of SQLite's within a few heats, a third of what the process grew by; what Python held stayed at 77 MB. Of many
  readers two stay open, and the writer keeps 1 MB of pages: after 20 heats and 61,000 marks SQLite held 5 MB in place of 9, and
  the process stood at 159.5 MB in place of 164.5. Opening a reader and its first answer take 0.4 ms.
- The marks' key is a UUIDv7, so rows arrive in order; a second index would cost more than the insert. Marks in memory share
  sheet, device, kind and the empty body: 317 bytes each in place of 541.
- A plain record is declared once (kinds.py): its value, its table, what it names, why it stays; the gateway does the rest.
  Entries and heats stay special: openers follow their lifters, and lanes change places.
- A signed event keeps what its result rests on: each change is compared, before its commit, by what the recount would be handed
  (signed.py). Guards of single kinds let a variant, a bodyweight and a member through. Where nothing is signed that is one look,
  0.14 ms; else one more reading of the roster. A name corrected after the sign-off is another digest than the printed one, so
  it is opened again and signed again as well.
- Backups go in steps on the writer: from another connection SQLite's backup begins anew at every write. A step of 256 kB,
  then what has come in, then the next. The snapshot lands beside the store first, so that a slow stick holds nobody up.
- A backup says whose it is (an id of the ledger, in its name and inside) and carries a checksum over all rows: two ledgers on one
  stick let only their own go, and a flipped byte is found without the file beside it. A restore believes nothing but rows: they
  are put into a schema that our migrations make, within a bounded time, read through as a competition file is, and no login of a
  desk comes along. The checksum is no signature: who can write to the stick can make another.
- Each mark's row carries a check of its own (damage.py), looked at after a start and with every backup and export: a digit that
  became another passes the database's own look and was counted. A file that was removed under a running server would take every
  mark and keep none: before each commit the file is looked for, two microseconds.
- A table that must find its owner again has no foreign key (check-in, markings, openers): an athlete, entry or event that is
  deleted and put back finds what was known.
- What is taken away or moved comes back by rows (copies/undoing.py): read before a change and after it, in its transaction, and
  handed to the page sealed. Forms that posted a thing anew lost its place in the order, its members' ids, the lanes of a heat and
  with them its printed sheets, and the picture. Nothing is kept here, so a picture that was removed is gone once its page is
  closed. In tests every POST is watched for it, as for its line in the log.
- The activity log is written by the writer: a request carries its line in a context variable, and its first write
  takes it into its own transaction. What changes nothing leaves none; a refused try is written before its answer. In tests
  every POST is watched: one that wrote something and left no line fails (tests/builders/halls.py).
- On PostgreSQL writers take turns by one advisory lock, in whatever process: so "of two who try, one succeeds" holds as on
  SQLite, migrations do not race, and news are numbered in the order of the commits. NOTIFY lets commits through one by one
  anyway. Readers see one snapshot; texts compare byte by byte as on SQLite (the tests' server sorts by a language on
  purpose).
- Marks go to PostgreSQL as JSON in one statement: arrays took three times the processor time to make. A backup of a database
  server is an SQLite file: the hall goes on from a laptop with nothing installed.
- Decided against: reading marks by their time of receipt, or by a number without turns (a later number may be committed
  first); what a notice says as the news themselves (8,000 bytes are few, and who was deaf would have nothing to read); a try
  again by the server when the database is away (the tablet has the mark and sends it again).
"""
