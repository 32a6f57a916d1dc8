"""How long sessions live in this process: when each was last used, and when it ends whatever happens.

Times are of the server's monotonic clock, so that a step of the wall clock logs nobody out.
"""

from dataclasses import dataclass

FRESH_MS = 1_000
STORED_EVERY_MS = 5 * 60_000  # how often it is written down when a device was last heard of


@dataclass(slots=True)
class Life:
    """One session: used last at `last_ms`, over at `end_ms`; `stored_ms` and `address` are what was written down last."""

    last_ms: int
    end_ms: int
    stored_ms: int
    address: str


class Lives:
    """The sessions that this process knows, by device."""

    def __init__(self) -> None:
        self._lives: dict[str, Life] = {}

    def begin(self, device_id: str, now_ms: int, idle_for_ms: int, left_ms: int, address: str) -> None:
        """A session is met: unused for so long, with so much left. What is known of it already stays."""
        self._lives.setdefault(device_id, Life(now_ms - idle_for_ms, now_ms + left_ms, now_ms - idle_for_ms, address))

    def end(self, device_id: str) -> None:
        """A session is over."""
        self._lives.pop(device_id, None)

    def is_fresh(self, device_id: str, now_ms: int, address: str) -> bool:
        """Whether a session was used a moment ago from the same address, and has long to live: then there is nothing to look at.

        A tablet in a heat sends several marks a second, and each would pay for the look.
        """
        life = self._lives.get(device_id)
        return life is not None and now_ms - life.last_ms < FRESH_MS and life.address == address and now_ms < life.end_ms

    def is_over(self, device_id: str, now_ms: int, heard_ms: int | None, idle_ms: int) -> bool:
        """Whether a session has lasted its whole life, or was neither used nor heard of (`heard_ms`) for `idle_ms`."""
        life = self._lives.get(device_id)
        if life is None:
            return False
        return now_ms >= life.end_ms or now_ms - max(life.last_ms, heard_ms or life.last_ms) >= idle_ms

    def used(self, device_id: str, now_ms: int, address: str) -> bool:
        """A session is used. Whether that should be written down: now and then, and when it comes from another address."""
        life = self._lives.get(device_id)
        if life is None:
            return False
        life.last_ms = now_ms
        if now_ms - life.stored_ms < STORED_EVERY_MS and (not address or address == life.address):
            return False
        life.stored_ms, life.address = now_ms, address or life.address
        return True
