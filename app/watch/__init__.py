"""What the public looks at while it happens: the board and the hall's clock. Reads everything, changes nothing.

- Boards are told in pieces: the server renders a changed piece once and sends it to every watcher. A whole board is made when
  somebody asks, no more often than boards are told (0.15 s at most), and is packed once: before that one reader who asked in
  a loop took the whole processor.
"""
