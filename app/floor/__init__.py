"""What happens on the floor: GO and holds, lanes, judging, calls, practice, paper. The only job that writes marks and runs.

- A mark the rules find odd is stored and flagged: the judge on the floor is the witness. A mark that names a paired device is
  taken from that device alone, else the server would tell the other tablet that its own marks are safe. What an earlier pairing
  of a browser made keeps that pairing's seat; what is here already is refused to nobody.
- Marks of every earlier version are taken: samples in tests/floor/old are sent to the ledger's door by a test. Add one when a
  mark changes.
- A tablet sends marks on the line that it holds open for its clock and its news; doors, headers and cookie are paid once. Whose
  the line is, is asked of the sessions in memory with every frame, so what ends a session, here or in another process, ends it
  there as well. POST /marks stays for other clients, and for what a line does not answer within 3 s: a mark sent twice is one.
  Both doors pass one function (taking.py), and the tests of what may be written send by both and compare the answers.
- Devices bring marks at the pace of hands (pacing.py): asked before a request is read, for a flood that is refused must cost
  nothing either, and refused late. What is more than hands make on a sheet is kept aside by the fold (rules/count/beyond.py),
  by the order of receipt and by seat: a device may say any name of one that is gone.
- The answer to marks tells the receipt of each, so that whoever made it counts by it as all others do. To name the fault of a "no
  lift" strikes it out and makes it again: the two are one write and one message, for a cut between them left every other screen
  at two of three decisions. A packet that was late is waited for longer each time; given five seconds for ever, a tablet on a
  busy laptop never heard what was decided while its line was broken.
- A held heat keeps its holds with its run; heat clock = server time - GO - held time. Shifting a lane that was started by
  hand as soon as the desk's GO is known was decided against: the judge may have started with the whistle all the same, so a
  person decides.
- A server that holds less: each answer says of whom and through which number everything is stored, and each packet holds the
  lane's marks. A tablet that finds less than was acknowledged sends again, whoever made the marks, so a backup may be old, and
  the competition file will do.
- What is on the bar is a mark (`loaded`, with the plates of one side), so a second phone, the judge and a reload know it.
  Where a mark names only a load the plates are guessed, and the screen says so before one is lifted off.
- Whose turn it is, is read from the marks (the last repetition, the declaration that stands); only whom the judge has picked to
  declare is the tablet's alone, for one attempt. A kind of mark for turns was decided against: a forgotten one would give every
  repetition after it to the wrong member, while a touch on a member's own target can't be forgotten.
- When a heat is over its sheet stays until it is left; older ones never come up by themselves: the coming heat goes first.
- What would pass is asked by the phone every five seconds; the last answer is kept and shown with its age.
- Paper comes in as marks on the paper sheet. Each typing is a row of `keying`, and one form sent twice is not two people
  (`sitting`). Practice and half-keyed papers are in backups, not in the competition file: no result rests on them.
- Before a judge's first lane of the day the tablet offers a practice heat of the event at hand (js/screens/floor/practice): the
  lane's own screen on a tablet that keeps nothing, a window of each kind of work. It gives way when the heat has its GO. Whose
  first lane it is, the desk says of judges with a name (first_lane.py), and the tablet of all whom it has met today.
- A shadow judge and a film have sheets of their own that nothing joins; only a ruling lets one stand. A film never leaves the
  browser: an object URL, `media-src blob:` on its two pages alone. A mark's time is film time less GO, brought to the heat
  clock by the run's holds. GO is a note on the sheet with its place on the film, so that another person finds every moment.
  The desk that judges a film may be a lane's tablet as well: its outbox has a store, a log and a channel by another name.
- A bar's plan of ten loads and twelve kinds, heavy inside, is there after 12 ms at the median and 59 at the worst of 36, in a
  Chromium at a quarter of a busy machine's speed; with fewer moves from a worker after 57 (tests/bench/platform/bar_plan.py).
- A photo of a bar is not sent to the desk: it helps the judge remember, and is nobody else's. A lift order that holds a lane
  up was decided against: where lanes share a bar the board calls the lightest, and the judge decides.
- A medical stop is lifted by a name, not by whoever presses Go on.
- A platform is the lanes whose lifters share a bar (rules/records/platforms.py): nobody sets it up. A seat there (three referees,
  the marshal, the loaders) is one pairing for all its lanes, where each lane's own tablets were 36 for twelve lifters. What it
  marks stands on the sheet of the lane whose lifter it is about, as that lane's own tablet would have marked it, and its receipt
  names that seat: so count, rulings, paper and the competition file know nothing new. Who is at the bar and who is next is folded
  from all lanes' marks, here and on each device (rules/count/lift_order.py). A sheet of the platform's own was decided against:
  an entry's lifts would stand on two records.
- A lane's own tablet and phone hear of a rising bar only what it was called with (bar_beside.py). To send them the other lanes'
  marks was decided against: whoever sends its marks again would bring those too. What is declared before the GO has no time on
  the heat clock, so that openers end before it is said and held on the screens alone: by when the heat will probably start, which
  a tablet asks for as it turns to the heat, for a day that runs late takes the openers' time along.
- A lane's call screen passes from lifter to lifter, and to whoever holds it the plans of the next were no business: what a
  device may know is one rule for its packet and its line (knowing.py). What it is told of a lifter at hand comes when the lane
  passes to them, so without network their plan is missing; that they can declare is not.
- A coach's phone stands for entries, not for lanes: it follows them over heats and flights, and a start list that moves one moves
  the phone along. It may write what a lifter's phone declares and plans, and nothing of the bar. Its packet and its line hold the
  marks of its own alone; the order of lifting, which is folded from everybody's, comes to it as how many lifts are before theirs
  (turns.py), no more than hangs in the warm-up area. To send it all marks and hide them in the screen was decided against. The
  desk's change of a list is asked of the sessions with the next frame, as a pairing's end is; what was declared before it and
  comes after it is refused, and taken once the desk gives the lifter back.
- Whoever is ruled out of the event, or stopped for a medical reason, waits at no bar: declared or put in by the rule, their load
  would be called again after each other lifter.
- A referee's screen leaves a lift that it has still to decide only when two others have decided, or by a touch on another name:
  a call that came early once took the lifter from under the finger.
- Beeps are heard within 30 ms of the frame that shows the change (tests/floor/test_signals_in_browser.py; 8 to 23 ms at the
  99th percentile on a busy machine): they are placed on the audio clock, and anew when either clock moves.
"""
