"""What is alive while the server runs: standings that follow the marks, and who is told of them. Nothing here is kept.

- The projection keeps what has added a sheet up, what counts for an assignment and each line of a standing, until a mark changes
  it; of sheets that have been still for long their tallies alone. `caught_up` counts in slices of 1 ms, so whoever shows
  standings waits for them and judges don't. Folded whole, the sheets of forty lanes kept the loop for 15 to 42 ms at every
  look of one board.
- A ruling has counted anew what it touches: the sheets whose clock is another, the assignments that count by another sheet, the
  event that is ruled on otherwise. What it would do is tried on standings that share all the rest. For 60,976 marks on 200
  lanes 4 ms in place of 65, all four events ranked.
- Sheets of heats that ended five minutes ago are packed (packed.py, keep/at_rest.py): 21 bytes for a mark and 16 for finding it
  by its id, where it took 630 and its part of the tally 210. Who asks for their marks has them read again, 0.8 ms for a sheet
  of 300, the last twelve kept; a late mark opens its sheet. Of a store that holds more than a day's marks sheets are packed
  while it is read, which takes two thirds more time: done for every store, 182,441 marks and their standings took 28 MB in
  place of 108, and 8.1 s of the processor in place of 5.3. Of marks that share a number or an id none is
  packed: they are looked through together.
- The store keeps sheets at rest as they are packed, with the tally of one that counts alone (at_rest.py, store/kept): a start
  over a million marks, of which all but one heat are kept, took 5.6 s of the processor with its standings, where reading and
  folding took 56.8. A tally is taken only under the same format and clock and by the same rule book, to the letter of its files;
  else it is counted from the packed marks.
- What a ruling would do is found by doing it: `Projection.supposing` is the same code over the same marks with one ruling
  more.
- Time is the machine's monotonic clock: a GO is an instant on it. Wall clocks may jump; only after a reboot the wall clock
  carries the GO across. Sessions live by the same clock while the server runs, so that a stepped clock logs nobody out.
- Guesses at secrets are counted before they are looked at, so that those of one instant can't slip past: 5 an hour from an
  address, 30 in all, each kind of secret for itself. A storm from 200 addresses locks out no one whose hall it is: the laptop
  has an allowance of its own that waits a minute at most, a browser that has logged in before has five tries of its own, QR
  codes are too long to guess. Locking a secret itself, or waits that double, were decided against: a spectator could keep the
  desk out.
- A device brings as many marks as hands make in the heat time that they cover, and 600 besides (allowance.py): an hour's
  marks of a tablet that was alone come at once, a machine's wait on it. Counting requests by the clock on the wall was decided
  against: it slows the tablet that comes back. A paired tablet once stored 31,200 marks in 8 s for good; one that lies about
  its marks' times now gains what it could have counted.
- Several processes share by news and by words. News (marks by id, records, a device sent away) are rows, told in the
  transaction of the change; who reads by number misses nothing. Words (who is connected, a search for a plan) are in no table
  and said again every few seconds. A process hears its own beat by the way of the others' news: when it does not come back it
  is deaf, says so, trusts no session from memory, reads the news with every beat and connects anew.
- What a process remembers of sessions is believed for 3 s after its own beat, looked at when a mark comes: one that was stopped
  for 4.5 s took a mark of a device that had been sent away meanwhile, because its sockets are read before its beat tells it how
  late it is. Waiting with every mark for the others was decided against: it would cost each judge a look into the database.
- One computer: processes share its monotonic clock. Several would need wall clocks that agree within milliseconds and a GO
  mapped through them; presence and news would do as they are.
"""
