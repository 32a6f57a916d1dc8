"""What the head judge decides: flags, rulings, protests, sign-off, compared sheets. Writes rulings, never a mark.

- Flags are found anew at each look, never stored; what is stored is that somebody looked at these marks. One mark more opens
  the flag again.
- Flags are found anew on the sheets that changed; what was found on the others is kept (`Looked.kept`): 5 ms in place of 115
  for 200 lanes.
- A ruling is a record with a name and a reason; what it would do is shown by really applying it, before it is made.
- What is offered for a flag is what would change whether a mark counts: to call a lift that a rule keeps out "no lift" was
  offered once, and changed nothing. Of a mark that one rule keeps out, no other flag says that it counts.
- A protest link is an HMAC of the entry's id under a secret of this data folder: nothing to store, nobody named, nothing to
  guess.
- The time for protests runs from the announcement of a result, which is a record as a ruling is; competitions of before that
  keep the last bell. An answer may be taken to a second instance: an appeal is a protest against the answer, and whoever gave
  that, by name, can't decide it. What comes late is refused by link; the desk takes it with a reason that is shown.
- A time for protests or appeals that is not over stands in the way of a sign-off as anything open does: whoever signs before
  gives a reason, and protests are taken until it is over all the same. An announcement is taken back by a record; the one before
  it counts again, or the time has not begun.
- What was on the bar is no judgement: a sheet judged a second time is folded with the lane's declarations (`with_bar`).
  Comparing is the server's work; counting goes on without it.
- Final is said of a sign-off that left nothing out, and only while every mark that was signed is here as it was: a file or a
  backup may lack some, and is final again once they have come from their tablets. What stands in the way of a sign-off is a pure
  function (result/in_the_way.py); each thing is settled, or left out by name with a reason that is published. One tick for all
  that was open was what it asked before.
"""
