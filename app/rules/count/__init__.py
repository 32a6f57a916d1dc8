"""From one lane's marks to its tally: clock, placing, lifts, sheets, lights. Touches records; knows no score and no place.

- Marks, not counts: two devices that add to a number overwrite one another, two sets of facts merge. A tally does not depend
  on the order in which marks arrive, on doubles or on outages; hypothesis proves it in tests/rules/count.
- A sheet is added up by what can go on (tally.py): one more repetition changes its window, and no other mark is looked at. On
  a sheet of 300 marks that takes 56 µs, of 1,500 80; added up whole, 1.6 and 7 ms. What stands together (a mark taken back, the
  bar, signatures) is looked at anew when one of these comes; a ruling or a hold adds the sheet up whole, which is the same work
  from nothing.
- Nothing here has a clock. What ends a wait is a mark: waiting some seconds for the other judges was decided against.
- A mark says what its tablet's clock rested on (`held`: how long it had stood, `hand`: started by hand), so the fold sets a
  tablet right that was offline in a hold. What was marked in a hold does not count, but for the judge's reaction (`late_ms`),
  as at a bell, and a lift begun before it where that counts.
- The offset between two clocks is an intersection of intervals; each end ages by 200 ppm from the moment at which it was proven,
  and a coarse clock's grain is added. 32 quick pings, then one a second: over 0 to 80 ms of random delay each way, 5 % loss and
  150 ppm of drift, 99 of 100 estimates are within 6 ms after 32 pings (10.2 after 16) and 7 ms later on; with 5 ms of jitter,
  0.6 and 1.7 ms. The bound, kept with every mark, was once half the intersection's width (3 ms there): a clock that jumped by 5
  to 60 ms then lay outside it for minutes. It reaches to the ends of the latest four exchanges now: 20 ms at the median, 1.3 ms
  with 5 ms of jitter; the truth was in it from the fourth exchange after a jump on (tests/rules/count/test_clock_links.py).
- A lift is locked by a mark, `begun`, the judge's tap when the bar leaves the rack. What is declared meanwhile waits for the
  next lift; a declaration that had not reached the judge's tablet by then does not replace the one that was read out.
  Attempts, increases and going down are each member's own.
- The time of an attempt ran from the bar being free, told by the lane's own sheet: at a bar that lanes share, which no one sheet
  can tell to be free, it struck out whoever was called late. There it runs from the later of the lifter's call and the bar's
  being ready for that load, both marks; before either it does not run, and a limit that is not known to run takes nothing.
- A bar that left about as time ended is struck out only where no reading within the clocks' bounds lets it be in time; where they
  can't tell, the lift counts and a person rules (lifting/in_time.py). A clock started by hand is off by up to 2 s, and took good
  lifts by less without a word that it might be wrong. So with a declaration that came about as its time ended. Two moments of
  one tablet are another matter, where its marks say in which life of its clock they were made: taken for as unsure as those of
  two, they let a lift count that was surely late, by up to 4 s.
- What the desk knew when a mark came is read from its receipt: what was marked for a time or a run that was not yet, and the
  word of a phone on a bar that had left the rack, waits for a ruling. The law in tests/rules/count/test_law_of_authority.py tries
  every seat at every moment. Going by the order of arrival alone was decided against: a judge who was offline would be overtaken.
- Where any member may do the work each mark says whose it is (`member`), and a window's shares tell what each has done. A mark
  that says nothing, as all did before, is nobody's in particular: it counts all the same.
- A declaration is for the window that it names, also while another member's is open: what the judge's hand does to that bar
  locks nothing of the next.
- A wrong load is a fact beside the lift (`loaded`): the try keeps its own mark, and what it is worth follows from the event's
  rule, whenever the fact arrives. The presets' default is a published federation's rule; a format that says nothing keeps
  what was really on the bar, so old ledgers fold as before.
  A try that is made again keeps what was told of its bar, and what is told from then on is the next one's: both were told by
  their one declaration, so the second was weighed by the first one's bar, and who had racked a shared bar waited for nothing.
- Three judges are three sheets; two who agree decide, once all have decided, the bar is racked or the sheet signed: a score that
  counted two earlier told the hall, and the third judge, what no light had told yet. The lane's sheet is folded again by the
  verdicts, because the next attempt's least increase and a wrong load depend on them. Without two who agree the lane judge's
  word stands then, flagged: a tablet that went dark must not cost a lift. A ruling on a lift goes before all of it.
- One judge decides a try once, on however many tablets: what a replaced one still held came later and was taken for a second
  try that two had not decided, a miss, after which the rule put in the same load again. Of two that are not alike the one
  stands that the desk heard first, for the lights have told it: the earlier one turned a decision that the hall had seen.
- Rulings on lifts and repetitions are applied to the marks before they are folded, so that targets, finishes, eliminations
  and joined counts follow by the event's own rules. A penalty of repetitions was decided against: places in a ladder would
  not follow.
- One lane, one tablet: a handover is added up; where two tablets' marks lie mixed, of marks too near to be two repetitions one
  tablet's are flagged and don't count, as few as can be. That the tablet that marks first holds the lane was tried: one stray
  touch on it, first and last, took seven of 57 repetitions from the one that counted.
- The sheets of a lane are joined window by window, and only then do targets, eliminations and ties run, once, over what was
  joined (joined.py, settling.py). Joining finished totals was decided against: a minute read out and two that were marked put
  the entry out on one sheet and left nothing on the other, and two counters of whom one saw a miss made halves.
- A film or a shadow counts where a ruling says so, window by window, never by itself: a film of one window in dispute once set
  another to nothing. Among several counters, who shows nothing while another counts was either not there or saw nothing to count,
  and nobody can tell which. What the other has then is taken for theirs, silence by silence, and the window is flagged
  (dark.py). Going by a signature, by how alike both had counted before, or by the mean of the two was tried: each halved
  scores of judges whose tablets had been dark.
- Totals read out are marks on a sheet of their own that only stand in for missing ones. An equipment check and a plan are
  marks that count as no work: who only signed has not started.
- Silences were once looked for at every pair of marks before asking whether there was one: with 21,000 marks the review page
  took 18 s, now 0.7 (doubts.py, held to its definition by a property test).
"""
