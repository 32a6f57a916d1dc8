"""A round's records as a file that only grows, one record a line: read, folded, and added to where the rules let it."""

import os
from pathlib import Path
from typing import Any

from app.round.book_folder import records_in
from app.rules.round import records as r
from app.rules.round.book import BadBook
from app.rules.round.codec import encode
from app.rules.round.fold import fold, take
from app.rules.round.state import RoundState


class RecordsFile:
    """The records of a round in a file, and their state. Raises BadBook for a file that holds something else."""

    def __init__(self, file: Path) -> None:
        self._file = file
        try:
            self.records = records_in(file.read_bytes()) if file.exists() else []
        except OSError as wrong:
            raise BadBook(f"{file} can't be read: {wrong.strerror}.") from None
        self.state: RoundState = fold(self.records)

    def add(self, *said: tuple[type[r.Kept], dict[str, Any]], at: int) -> list[r.Record]:
        """Adds records in order, all of them or, where one is refused, none. Raises BadBook with the rules' sentence."""
        made: list[r.Record] = []
        number = max((one.number for one in self.records), default=0)
        state = fold(self.records)
        for kind, fields in said:
            number += 1
            record: Any = kind(number=number, at=at, **fields)
            if sentence := take(state, record):
                raise BadBook(sentence)
            made.append(record)
        try:
            with self._file.open("ab") as file:
                file.write(b"".join(encode(one) + b"\n" for one in made))
                file.flush()
                os.fsync(file.fileno())
        except OSError as wrong:
            raise BadBook(f"{self._file} can't be written: {wrong.strerror}.") from None
        self.records += made
        self.state = state
        return made
