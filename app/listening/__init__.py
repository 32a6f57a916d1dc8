"""Ports, limits on connections, several processes behind one address. Nothing here knows what a competition is.

- Two listeners, one process: `uvicorn.Server` is plain or encrypted; listeners.py adds a second listener with the same
  protocol. A new certificate is loaded into the living TLS context: open connections go on. A TLS greeting on the plain port
  is held for a second before it is hung up, which a dead desk can't do: so a tablet can tell an untrusted desk from a dead
  one.
- Each door takes its connections itself (door.py) and looks twice a second whether its socket still listens: an event loop's own
  server ends at the first error of its listener, and on Windows a phone that hangs up before it was taken is one. A door that was
  closed is opened again at its port, and the desk is told.
- A connection has a use, or it ends. uvicorn waits for ever and httptools keeps whatever it is sent, so patient.py subclasses
  the protocol: a head within 5 s and 64 kB, counted before the parser sees it; a body at 1 kB/s after 5 s; a reader who takes
  20 kB in 5 s of what waits; the rest of an unwanted body for 2 s or 1 MB, so that the refusal arrives. Nothing is timed
  while the application works; one look around each quarter of a second finds what is overdue.
- Judges come first: a connection that has shown a session is not counted among the 40 strangers of its address and never cut
  to make room. A full house cuts who has rested longest, after a second at least, else attackers who come again would push
  each other out without end; a hundred places are kept for addresses from which a judge has come. This computer's own pages
  count nowhere.
- Each process has a listening socket of its own on the one port (SO_REUSEPORT), made by a parent that keeps them all open, so
  that connections dealt to a dead process wait for its successor. Elsewhere than on Linux all take from one socket. Limits
  for an address are shared out with something to spare, because which process a connection meets is chance.
- Threads hand the interpreter on after 0.5 ms. With Python's 5 ms a lane's p99 was 240 ms while all halls were joined in a
  thread, and is 13; marks a second at saturation and a mark's own time are the same at 5, 1, 0.5 and 0.2 ms.
- What attacks cost (two cores that had other work): 200 MB of body 2.5 MB of memory at the peak, 64 MB of headers nothing,
  500 idle connections 6 MB, 120 bodies that never end 19 MB, slow ones gone after 5.0 to 5.3 s. Of one core the server took
  19 % with 20 lanes at work, 21 % with 300 slow and 500 idle connections beside them, 24 % with a flood from one address and
  32 % with ten. A lane's p99 then was 0.4, 0.9 and 2.8 times the quiet one (bench attack at load 13, where the quiet p99 is
  220 ms: to be measured again).
- On two cores several processes gain nothing. By the clock, with 40 tablets, database and load on the same cores (bench
  postgres): SQLite 3,400 requests a second, PostgreSQL with 1, 2 and 4 processes 3,600, 2,400 and 1,800. By processor time, as if
  the load came from elsewhere (bench processes, beside a load of 4 to 11) 160 marks a second took 0.11 of a core on SQLite; 0.33,
  0.39 and 0.29 with 1, 2 and 4 processes, and 0.07 to 0.11 for the database: 0.34, 0.45 and 0.62 of what SQLite could take on two
  cores. 300 boards and one lane: 0.98, 1.04 and 0.57; 900 boards, of what one process on PostgreSQL could: 1.02 with 2, 0.75 with
  4. Each process makes the board for itself, 0.15 of a core whoever follows; a thousand boards add 0.06. So a second process pays
  from some 2,500 boards on, which is reckoned and was not tried.
- Decided against: uvicorn's limit_concurrency (counts idle connections and answers judges 503 with all others); counting
  strangers by network (in a hall all have one).
"""
