"""What the store holds of each tablet: through which number every mark has arrived."""

from dataclasses import dataclass, field
from typing import Self

from sqlalchemy import select
from sqlmodel import Session

from app.store.markrows import MARKS


@dataclass(slots=True)
class Through:
    """One epoch of one device: all numbers up to `last` are there, and `ahead` beyond a gap."""

    last: int = 0
    ahead: set[int] = field(default_factory=set)

    def add(self, seq: int) -> None:
        """Notes that number `seq` is there; again is no matter."""
        if seq != self.last + 1:
            if seq > self.last:
                self.ahead.add(seq)
            return
        self.last = seq
        while self.ahead and self.last + 1 in self.ahead:
            self.last += 1
            self.ahead.remove(self.last)


class Holding:
    """The numbers held of every device and epoch."""

    def __init__(self) -> None:
        self._devices: dict[str, dict[int, Through]] = {}

    @classmethod
    def load(cls, session: Session) -> Self:
        """Reads what is stored, in one pass: marks lie in the order of their making, so that few wait ahead of a gap."""
        holding = cls()
        numbers = select(MARKS.c.device, MARKS.c.epoch, MARKS.c.seq)
        for device, epoch, seq in session.connection().execute(numbers):
            holding.add(device, epoch, seq)
        return holding

    def add(self, device: str, epoch: int, seq: int) -> None:
        """Notes one number of a device."""
        self._of(device, epoch).add(seq)

    def through(self, device: str) -> dict[int, int]:
        """Epoch -> the number up to which nothing is missing."""
        return {epoch: through.last for epoch, through in self._devices.get(device, {}).items()}

    def _of(self, device: str, epoch: int) -> Through:
        return self._devices.setdefault(device, {}).setdefault(epoch, Through())
