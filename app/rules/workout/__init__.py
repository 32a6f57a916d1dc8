"""How an event runs and what it is done with: formats, tasks, movements, plates, written work. Touches values alone.

- Few ideas, combined: windows, tasks, scores, ties. A preset only fills them in, and what it filled in can be edited.
- Loads, steps, plates, windows, boxes and drops are parameters of a format with sane defaults, never constants in code.
- Kilograms and pounds are counted apart on a bar, in ten-thousandths: the two could weigh the same in another mixture only
  5000 lb apart. So every load is exact whole numbers in both languages, and plates that mix units need no search.
- A line of a list may count nothing (worth 0): "row 1000 m, then wall balls; the score is the wall balls". It is done and tapped
  like any other, so the list is finished with all of its lines, a tie may be parted at its end, and who only did that has a
  result of 0. At a cap it is no work left, and a finisher stands before whoever lacks only such lines. Refusing it in a list for
  time was weighed: "capped: repetitions, the runs don't count" is as usual. An older app refuses such a file by its bounds.
- A typed load is refused, asked about once, or taken, with one sentence at the desk, on the lane and on the phone. The keypad
  takes letters from a keyboard too: 1O5 with its O swallowed would be 15.
"""
