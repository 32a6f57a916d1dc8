"""What the store holds of each tablet: through which number every mark has arrived."""

from typing import Self

from sqlalchemy import select
from sqlmodel import Session

from app.rules.records.numbers import Numbers, Span
from app.store.kept.sheets import Kept, numbers_in
from app.store.markrows import ASIDE, MARKS, aside_of


class Holding:
    """The numbers held of every device and epoch."""

    def __init__(self) -> None:
        self._numbers = Numbers()

    @classmethod
    def load(cls, session: Session, kept: Kept | None = None) -> Self:
        """Reads what is stored, in one pass: marks lie in the order of their making, so that few wait ahead of a gap. Of the
        sheets in `kept` the numbers are known."""
        holding, kept = cls(), kept or Kept()
        for span in numbers_in(kept.sheets):
            holding._add_all(span)
        numbers = select(MARKS.c.device, MARKS.c.epoch, MARKS.c.seq).where(kept.others)
        for device, epoch, seq in session.connection().execute(numbers):
            holding.add(device, epoch, seq)
        for mark in aside_of(session.connection(), select(ASIDE.c.mark)):
            holding.add(mark.device, mark.epoch, mark.seq)
        return holding

    def add(self, device: str, epoch: int, seq: int) -> None:
        """Notes one number of a device."""
        self._numbers.add((device, epoch, seq))

    def _add_all(self, span: Span) -> None:
        device, epoch, first, last = span
        if not self._numbers.add_all([span]):  # one of them is on another sheet too
            for seq in range(first, last + 1):
                self.add(device, epoch, seq)

    def through(self, device: str) -> dict[int, int]:
        """Epoch -> the number up to which nothing is missing."""
        return {epoch: through.last for epoch, through in self._numbers.of(device).items()}
