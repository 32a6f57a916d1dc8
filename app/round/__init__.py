"""The round at headquarters and in its gyms: kit and slips, keys, hand-ins and their receipts, looks, the book as a folder.

What counts and why is told by rules/round. A hall that never hears of a round carries nothing of it: no row of its tables, and
no module that a server loads before a round is kept or somebody asks for a page of it (import-linter holds that). Keys lie
beside the store and in no backup: who moves a headquarters to another laptop carries them there by hand, and a stick with
backups that gets lost gives nobody a key. A receipt is stored in the one transaction with what it is for, so none is given for
what was not kept.

A look is given out on a page behind the reviewer's own link, or as a sheet in a file, since reviewers sit at home. What makes
either is handed the rule, the kit, the film's address and no state of a line, so it can't tell the claim. Who has the key of
headquarters can make any reviewer's code: the book says what was sealed, and not that headquarters was honest about it.

What a gym does stands in a room of its own, gym/; what comes from there, in taking/.

A request takes what a gym hands in, and checks nothing: a gym of 40 takes a third of a second, which another process spends
behind everything else. The arrival's receipt says that the file came, a second one what is amiss. A record, its number and its
receipt are made inside the transaction that stores them, after reading what others have added, so that two servers never give one
number twice; whoever else waits for the writer meanwhile pays for it with some milliseconds.

In the last minutes before a deadline many come at once. Digest and signature of a file are found out, and the file is kept by its
digest (store/files), before its request asks for the headquarters; whoever has that takes along all that wait, in one transaction
(at_hand.py), and each has its answer after the commit. One that is refused is undone by itself (undo.py), and the
others stand. A digest or a claim is made ready by what is known without asking for it at all, and leaves the gate of strangers
(web/crowd.py) while it waits, so that those of many gyms share one commit: at 117 digests a second on two busy cores (load 14)
the median took 1,691, 502 and 334 ms in three turns before, and 1,318, 15 and 4 since. When a file came is when its request had
all of it, however long it waited.

Two computers over one PostgreSQL, their clocks 90 s apart, make the book of one, though one dies (test_two_computers.py). What
still assumes one machine:

- The keys, the list of films and the opened kit lie in a folder, which the processes of one computer share and only one of them
  changes at a time (room_files.py): their organiser carries them to the other computer by hand.
- The address: nothing here sends a gym to the other computer. Its network, or whoever sends, does.
- A deadline is by the clock of the computer that takes: within their difference one takes what the other refuses.
- A hall's clock (live/servertime.py) is that of one boot. A round has no heat clock and needs none.
- Strangers at a pace (web/crowd.py), marks a device may send (live/quota.py), who is here (live/presence.py), files that come
  in (taking/coming_in.py): each process counts its own. Processes of one computer share a port by fork
  (listening/processes.py); two computers share nothing of it.
- Certificates (lan/) are one computer's: under one address the other's is another, and a browser asks again.
- Which files could not be checked is known to the process that tried, until it ends.
- Hand-ins are rows of the database there, which two computers share, and files beside the store where one has it alone.
"""
