"""Numbers for several versions of one event, and loads that stand apart from what is done with them.

- Two numbers for one thing (`43/30 kg`), or lines that tell each version's (`Masters 45+: 42.5 kg bar, 50 cm box`), are the same:
  a load or a height of several numbers, in the order of their names. The draft is put on the clock once for each.
"""
