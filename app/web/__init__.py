"""The frame that all pages share: doors, roles, static files, streams, the activity log. Knows no job.

- A page is one row (rows.py): address, door, what the record calls it, what it answers, above its function. Before, 167 of 196
  addresses stood in more than one Python file. A door in each row, and one list of all (tests/web/ways.txt) that a person reads
  when it changes: a list of address prefixes in the middle would be shorter, and silent about the route that it forgets.
- A start reads the rows out of the modules' text and loads none of them (scan.py): 2 to 5 ms; with `ast` it took 45 to 100.
  An address without gaps is tried before what waits: 28 µs for the board, where a look at all 240 rows took 124.
- Marks that come as requests go past the framework, not past the doors (quick.py): routing, exit stacks, telemetry and two
  layers of error pages cost more than storing. 350 µs of the event loop for a mark, now 145; the same storing nothing, 224 and
  112; a bare route 30. Most come on the tablets' own lines, which pay none of this (floor/pages/line.py): 368 bytes above TCP
  for a mark and its answer in place of 1,378. One mark a frame from 40 tablets takes 101 µs of the processor there, 68 storing
  nothing, 16 by a bare line. No single step is much of it: of the loop's time the loop and its reads are 31 %, judging and
  storing 27, the answer 14, the line's own turns and queues 13; a quarter of all is the writer's thread.
  What both ways cost beside bare ones: bench ingest.
- A start loads what judges and the board need: when it was measured 140 modules of ours in place of 303, 0.65 of the
  processor time, 95 MB for the idle server in place of 111; grown to 108 with what board and lanes have learned, it is 103
  since the plan, the reader's tables and a framework's old models stay unloaded too. The rest come with the first request
  for one of their pages (later.py), in a thread, so that marks are answered meanwhile. Stop the server before an upgrade:
  pages loaded later would be of another version. What checks the values of a model is made with the first of them
  (app/unbuilt.py, rules/values/shapes.py): 1.03 s of the processor in place of 1.13 for a start with an empty store,
  measured in turns.
- Static files carry a hash of the whole tree in their path, so modules of two versions never mix. Scripts and styles travel
  without their comment lines, a fifth of what a tablet fetches; the lines stay, empty, so that an error names the line of the
  source.
- A lane screen fetches its style sheets as one (css/floor/lane_screen.txt names them), its modules as one (page_scripts.py) and
  short headers: 150 kB in 9 requests before its first paint (145 when it was made, the call screen 144 in 10), where single
  files came to 176 kB in 102. The start list is one of them: it is asked for when the line greets, not at once and then again.
  Loading views when their window comes was decided against (over plain HTTP a dead network would take a window away), and so was
  preloading.
- What is the same for everybody is made once for all who ask meanwhile (shared.py), no more often than boards are told, a
  millisecond at a time, and packed once; it is no older than the question. Before, each who looked had the heat at hand counted
  anew for itself: 74 to 120 ms of the processor for the results of 40 lanes at 300 marks each, 600 for a sheet's digests, which
  everybody waited for. A page that is kept costs 1 ms. Making them in threads was decided against: the projection's lock and the
  interpreter are waited for all the same. Who waits for such a page stands outside the gate.
- Judges come first (crowd.py): strangers have 10 pages a second for each address, late refusals, and a gate of two. Most
  answers are made without a pause, so without the gate's turn of the loop all that came at once would be made in one go.
- Of several processes one may lack what another was told a moment ago: each page waits for that (fresh.py), and what would be
  kept for good, taken along or taken for all there is, is refused where that is in vain (`Says.needs_all`). Such a process once
  signed an event off without a mark that was acknowledged; with 0.02 s of patience 14 of 20 storms over a killed database had
  tablets take back 121 acknowledged marks, and none of 22 since. What stops something or only takes in is done all the same.
- Places for streams are 4 an address and 150 in all, the desk's apart. Once they are taken, the network with the most gives
  one to a network with fewer, and within one an address to another: the boards of 38 addresses once kept everybody else out. A
  closed line frees its place in 0.04 s; a phone that vanished without a word acknowledges nothing, so the system gives its
  line up 20 s after the next beat (Linux, TCP_USER_TIMEOUT): 33 s with nothing to tell. Who finds no place asks every 4 s and
  says nothing. WebSockets for boards were decided against: server-sent events are lighter and reconnect by themselves.
- Other sites read nothing: a foreign Origin or Sec-Fetch-Site is refused for reads too, but for a link that is followed; else
  any page on the internet could take places for streams. Signed forms were decided against: browsers name the origin of every
  write, and the token would be one more thing that an old page has wrong. So was HSTS: the plain door must stay open.
- What no browser sends is refused (two lengths, a length and an encoding, folded headers, a target with another host). Static
  files are looked up by name in a list and never on the disk, so no path can lead anywhere.
- The description of the application is held to it (described.py): requests that schemathesis makes up, from the desk, a lane
  and a reader. What an answer as a page holds is not described; streams and leaving are not tried.
"""
