"""How fast something may come: so much at once, so much a second after that."""

from dataclasses import dataclass


@dataclass(slots=True)
class Pace:
    """A bucket of tokens that fills by `per_second` up to `at_once`. Times are seconds of any clock that never goes back."""

    per_second: float
    at_once: float
    _left: float = -1.0
    _at: float = 0.0

    def take(self, now: float, cost: float = 1.0) -> bool:
        """Takes tokens if there are enough; says whether."""
        left = self._filled(now)
        if left < cost:
            return False
        self._left = left - cost
        return True

    def wait_s(self, now: float, cost: float = 1.0) -> float:
        """Takes tokens that may still have to come, and says after how many seconds they will have: 0 if they are there."""
        self._left = left = self._filled(now) - cost
        return -left / self.per_second if left < 0 else 0.0

    def give_back(self, cost: float = 1.0) -> None:
        """Puts tokens back that were not used after all."""
        self._left += cost

    def take_some(self, now: float, cost: float) -> float:
        """Takes as many of these tokens as there are; says how many."""
        some = min(cost, max(0.0, self._filled(now)))
        self._left -= some
        return some

    def owe_at_most(self, most: float) -> None:
        """Forgives what is owed beyond `most` tokens."""
        self._left = max(self._left, -most)

    def full(self, now: float) -> bool:
        """Whether nothing has been taken lately, so that forgetting this bucket changes nothing."""
        return self._filled(now) >= self.at_once

    def _filled(self, now: float) -> float:
        """What there is now. Every mark asks several times: comparing takes half as long as `min` and `max`."""
        left = self.at_once if self._at == 0.0 and self._left == -1.0 else self._left
        if now > self._at:
            left += (now - self._at) * self.per_second
        self._left = left if left < self.at_once else self.at_once
        self._at = now
        return self._left
