"""What every job needs and no job owns: the wired hall, forms, changing and telling, who is here. Knows no job and no page.

- Changing is one commit, then the projection, then the screens: whoever is told of something finds it stored.
- A form that has a problem stores nothing; what was typed stays, and every problem names its field and says what is allowed.
- A picture draws the rows of its own table: one function gives both (`pictures.py`), so they can't say two things. Places across
  are parts of the width and words keep their size, so one drawing serves a wall, a phone and a sheet; no library, no script.
"""
