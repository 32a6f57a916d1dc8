"""Sentences that say once more what the event says: proven against it, word by word and number by number, they are no question.

- A proof is a frame: every word of the sentence is one of its row or carries nothing, every number and movement is the event's.
  One word more, and whether the sentence changes the event is asked.
- How the work is judged and what is told of the day stand in no event (judged.py, day.py): they are proven to be nothing else, by
  closed rows again, and by what is done in the event, its loads, its members and how long it is.
"""
