"""Reading written workouts: from a page of text in the trade's shorthand to an event, and back. Touches workout and values.

- The grammar (app/library/workout.lark) and the words of a language (reading_en.json) are data; lark is loaded when the first
  text is read, never before.
- A line is scanned (letters, phrases, movements), numbers are put together with their units (chunks), and an LALR grammar tells
  statements apart, sentence by sentence: no line is scanned twice. Measured: 100 lines take 60 ms of a processor, of a heap of
  many strangers' lines 150 to 360 (median 215), since it is read up to four times; what a line's words,
  senses and statements are is kept from reading to reading, and of the last two texts, if they are short, to the next answer,
  which takes half the time then. lark and its parser are made once, in 200 ms.
- A sentence whose every word is known to fit one sense (what counts, when time is called, a rest, who works, that a miss ends it)
  is told by it in any order of words (scan/senses.py), and said to the grammar in its shortest words. One word more: the grammar.
- Told in a sentence in any order (scan/frames/): so many windows with work and rest, attempts by the clock, how a ladder goes on
  that was begun in full, a ladder of minutes, a bar that rises until a miss, loads by the round, what a round goes without. Each
  is a frame whose every word is known and whose every number is used; one word more, and the grammar has the sentence. Rounds
  that differ are written out. A list told once more as an example is proven against the list, before it could be work of its
  own (of_rounds.py).
- Blocks, parts and stations told by the clock, how a list is gone round, and how much all of it is, told once more, are matched
  as they are written, all of the sentence (scan/frames/as_written.py); what is told twice is compared when the event is put on
  the clock. A time before each line is a timeline where it begins at 0:00 and says when it is over (layout/timeline.py).
- Several lines under windows that come every so often: where they are numbered, or one is for most, it is asked whether each has
  a window of its own (lines_in_turn.py). A tie by the time when something is done, or by who
  was there first, is the end of the one line that does it, in the round that is told (scan/tie_points.py, ties_told.py).
- What members do in turn goes round: the same by the other, as long, until all of it lasts so long (drafting/turns.py);
  minutes told by their numbers may be one member's. A list before as many as possible in the time that it leaves is one window's.
- Who works when may be told for all members at once, with what they do above or below it (scan/frames/roster_said.py); that two
  change places with who does what then (scan/frames/swaps_said.py): all that is named must be so once they have changed.
- How members share it is told of the event, or of one window in its own heading (`both together`); of several ways of sharing it
  is known which fit (drafting/who.py). That what one does counts while another holds may be told before anybody holds.
- What a line leaves out for the one before to say, and scores told part by part, are said to the grammar in full
  (scan/told_shortly.py). A question by itself, and whom a line speaks to, say nothing (scan/addressed.py).
- A sentence or a clause that says nothing of the workout (talk, hours, how a movement is judged) is set aside: shown apart, each
  with a tap that says that it matters, and no question (scan/small_talk.py). What could change an event is told by a closed
  table (`bears`, `changes`, `decides`, the names of movements and of what is lifted); talk is what has none of it, no number but
  an hour or a page, and somebody speaking; a condition goes with what it is a condition of.
- A sentence that was not understood and tells no work is doubted (doubts.py): the text is read again without it, and whether one
  of them changes the event is asked once for all; so are clauses and words within a sentence that tells work, but for fillers, a
  closed list. What hinges on something (a fall, a bell, somebody's return) is talk only where it asks a favour or is about the
  house. What is about heats, lanes and the crew is doubted too. Work that was not understood stays in red.
- What only announces something (`max`, `at most`, a member) and has nothing behind it is doubted, and so is a word that `limits`
  an amount; rounds must fit minutes, and a line among standards must be of a repetition. Found by small edits of the corpora.
- What says what counts may be in doubt for the sake of another sentence: with that one put beside it is tried again, once.
- What does not count, or alone does (`the row doesn't count`, `score: wall balls`), is named among what is done: in windows of
  its own it is left out of the score, in a list it is a line that counts nothing, and that is told (some_count.py). Whether what
  stands before the time that is left counts is asked where nothing says it. Of a list for time all counts. Calories behind a
  list are taps, one each, once that is agreed to; metres would be too many.
- What is taken back in the same breath (`4 climbs... no wait, 2 climbs`) is asked; members who begin one after the other, by the
  clock or as long as told, have windows of their own (drafting/member_windows.py).
- A doubted sentence that says only what the event says (the order, when the clock stops, what counts, where a run goes) is proven
  against the event, and no question (scan/again/).
- How the work is judged, what it is done with, and what is told of the day and the house stand in no event: there it is proven
  that a sentence is nothing else, by closed rows of words and by what is done, its loads, members and length
  (scan/again/judged.py, day.py, handled.py). A first line that names those is a title.
- A text spoken without a stop is given stops where a clause surely begins, and stays as long as it was (layout/spoken.py).
- What a text corrects further down (`sorry, 10 minutes and not 12`, `the two runs are gone`) is asked where there is one place
  that it can mean; the text is read as it would have been written then, and its spans are moved back (layout/corrected.py).
- How a text lies on its page (tables, with columns of versions, rounds or members too, lines that end anywhere, broken words,
  stamps of a film and of messages) is in layout/.
- Nothing is passed over. What the grammar does not know and what has no meaning where it stands is in red; what changes the score
  and is not said is a question with its usual answers; what is usual and changes nothing is told as assumed.
- Several numbers for one thing (43/30 kg), or lines of each version's, are versions: the draft is put on the clock once for each,
  and what differs is a variant; two numbers under each name are men and women of each, which is asked once (versions/paired.py);
  another movement for one version stands in its place where no load is in question (versions/instead.py). A block of work under
  a version's name is read as an event of its own beside it (versions/).
- What tells whose all pairs of numbers are (`M/F` alone, `Cap 12:00 (men/women)`, `first weight = M, second = W`) stands anywhere
  and answers for all (versions/legends.py, versions/whose.py). Not where it contradicts another or the numbers (the greater are
  the men's, and what is not scaled), nor by letters alone in an event of pairs: they may be who is in one. Then it is asked.
- Names over the lines (`Pro / Open`) part each line with work of both (versions/across.py). In place of what a version does
  another thing is told, plain where it is a kind of it or the only one left, and else asked (versions/instead.py).
- Rounds of each version told in one line are a variant of one list for time, and of nothing else (versions/rounds_named.py).
- A window that begins `at minute nine` begins at 9:00, which is told; where the one before ends a minute earlier it may be that
  minute, and the words stand in red. More windows told by their numbers than there are, or so many that their cycle does not end
  with the last of them, stand in red.
- What is told to be all that is done (`3 rounds in all`, `the same as A`) takes no more work: what follows stands in red.
- An event prints itself as a text (writing/). What the text can't say is found by reading it back, so that nothing is lost
  without being named: all presets but two whole meets, and all that the grammar can say of the library's movements, come back
  the same.
- What was tried and left: Earley, which takes any order of words, at thirty times the time; guessing a movement by likeness.
  A word with one slip of the finger in it is read as the one known word so near (scan/misspelt.py), and the organiser is told.
"""
