"""So many in a stretch of time and no more: for lines that strangers could otherwise fill the disk with."""

from collections import deque


class Quota:
    """At most `most` within `span_ms`, by the server's monotonic clock."""

    def __init__(self, most: int, span_ms: int) -> None:
        self._most, self._span_ms = most, span_ms
        self._taken: deque[int] = deque()

    def take(self, now_ms: int) -> bool:
        """Takes one if there is one left; says whether."""
        while self._taken and now_ms - self._taken[0] >= self._span_ms:
            self._taken.popleft()
        if len(self._taken) >= self._most:
            return False
        self._taken.append(now_ms)
        return True
