"""What is looked at while it happens: board, walls, hall clock, announcer's sheet, warm-up. Changes nothing but the walls' scene.

- Boards are told in pieces: the server renders a changed piece once and sends it to every watcher. A whole board is made when
  somebody asks, no more often than boards are told (0.15 s at most), and is packed once: before that one reader who asked in
  a loop took the whole processor.
- A wall is sent values rather than a page, and decides by itself what it shows: which scene follows from the clock, and no server
  ticks for it. It stands on the board's feed, and while no wall follows nothing is made for it.
- Whose attempt is being judged stays on the wall until all lights are told: the next one may be called while the last referee
  decides, and has a line of their own. The attempt's clock is the large number on every screen of the hall, or on none.
- Where nothing was judged no number is told, not even 0: a lane whose tablet is out of reach looks the same.
- Whether a clock says that it may be wrong is asked of one rule, on the floor and here (isUnsure in js/rules/clock.js).
- Where time alone changes something (the minute to declare is over, a lift's window or a whole heat ends) no mark says so:
  bar_turns.py sleeps until that moment and has the pages made anew.
- Two platforms may lift at once. A screen shows the heat at work that was last given a GO and says what else is on the floor, or
  keeps to one floor by any of its lanes (?lane=7; shown.py). Each floor's board is a feed of its own, made only while somebody
  looks; an address names no more of them than there are floors.
- The hall clock and a wall speak (js/parts/voice.js) with the browser's own voice alone: one from the network is silent in a hall
  without. A voice takes its time and can't be placed on the audio clock: the beeps stay what is exact, and nothing late is said.
  A wall hears what the clock is told over a line of its own, which it opens only when somebody switches sound or voice on there.
"""
