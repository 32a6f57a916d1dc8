"""From the statements of the grammar to a draft: what each says where it stands, by what it is about.

- A statement is handled by a `_say_` of its rule's name, in the file of what it is about: headings, times, rests, work, who. One
  that has no meaning where it stands is not passed over: it stands in red.
"""
