"""How far two judges agree: two sheets side by side, agreement in numbers, practice. Touches counts; decides nothing.

- Two sheets are paired at the least cost: a mark alone costs half the tolerance, so a judge who missed the first of ten
  shifts none of the others, as pairing the most marks would. Matching is checked against SciPy's assignment solver.
- Kappa is told on what both marked: a repetition that one missed has no like among those that both missed, and would pull it
  below zero however well they agree. Misses are in the agreement. A window in which only one of the two marked anything is
  told and not compared: whoever looks at one disputed window on a film judges only that.
- Two keyings of one sheet of paper are compared by what they mean, lifts row by row, because ties ask for attempts. Averaging
  them or taking the later was decided against: the paper is there, so a person looks at it.
- A practice set is a seed: it is made, played, and made again to judge the calls; nothing of the truth is stored. A twin in
  JavaScript was decided against: the script only plays what it is sent.
"""
