"""The tables, as SQLModel classes. Nothing here reads or writes; only app/store imports it.

All are loaded with any of them: a backup and a new schema walk over every one.
"""

from app.store.tables import (
    acts,
    calling,
    day,
    entering,
    files,
    halls,
    kept,
    main,
    news,
    pictures,
    plates,
    practice,
    protests,
    rounds,
)

__all__ = [
    "acts",
    "calling",
    "day",
    "entering",
    "files",
    "halls",
    "kept",
    "main",
    "news",
    "pictures",
    "plates",
    "practice",
    "protests",
    "rounds",
]
