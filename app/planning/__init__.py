"""Heat plans found by a constraint solver, in a process of their own. Knows the rule book alone; stores nothing.

- Another process, niced, two threads, one job on its input and progress on its output: importing the solver holds the
  interpreter for a third of a second, and a judge's tap must not wait. A line on its input means "enough": it answers with
  the best so far.
- Whole heats are blocks: seeding puts entries into heats, the solver only times them and then gives lanes their judges; a
  rota without a search is usually fair already. The bound that is shown is the solver's own. Re-seeding by the solver was
  decided against: who meets whom is the organiser's stated rule.
- A plan that fails names its cause by trial: a rule is let go of, and named if a plan then stands (`causes.py`). What
  arithmetic proves beforehand (`rules/day/plan_numbers.py`) is said without a search.
- A late change costs moves: a moved heat weighs more than all minutes of delay; nobody starts before the announced time,
  heats keep their order, breaks may begin late and shrink to their stated least, heats that were started are constants.
"""
