"""Wrong guesses at codes and passwords, counted so that nobody can try them all.

With 6 digits and 30 tries an hour in all, eight hours of guessing find one given code with a chance of 2.4 in 10,000. A code that
is made later than these tries has not been guessed at: it has tries of its own, so nobody shuts out who asks for a new one.
"""

from collections import deque
from collections.abc import Iterable

MINUTE_MS = 60_000
HOUR_MS = 3_600_000
MOST_IN_ALL = 30
MOST_PER_ADDRESS = 5


class Guesses:
    """A sliding span of wrong guesses, in all and for each address (or whatever else tells guessers apart). Right answers cost
    nothing. `pot` names the count where it is kept in the store."""

    def __init__(
        self,
        pot: str = "",
        in_all: int = MOST_IN_ALL,
        per_address: int = MOST_PER_ADDRESS,
        span_ms: int = HOUR_MS,
        wrong: Iterable[tuple[int, str]] = (),
    ) -> None:
        self.pot = pot
        self._in_all = in_all
        self._per_address = per_address
        self._span_ms = span_ms
        self._wrong: deque[tuple[int, str]] = deque(wrong)

    @property
    def span_ms(self) -> int:
        """How long a wrong guess counts."""
        return self._span_ms

    def counting(self, wrong: Iterable[tuple[int, str]]) -> "Guesses":
        """The same count with these wrong guesses in it, the oldest first: where several processes count together."""
        return Guesses(self.pot, self._in_all, self._per_address, self._span_ms, wrong)

    def wait_ms(self, address: str, now_ms: int) -> int:
        """How long this address must wait before its next guess is looked at: 0 if it may guess now."""
        since = self.used_up_since(address, now_ms)
        return 0 if since is None else since + self._span_ms - now_ms

    def used_up_since(self, address: str, now_ms: int) -> int | None:
        """Since when as many wrong guesses have been made as may be; None while there is one left. What was made later has been
        guessed at less often than that."""
        self._forget_old(now_ms)
        mine = [at for at, who in self._wrong if who == address]
        counts = (([at for at, _ in self._wrong], self._in_all), (mine, self._per_address))
        return max((times[-most] for times, most in counts if len(times) >= most), default=None)

    def begin(self, address: str, now_ms: int) -> tuple[int, str]:
        """Counts a guess as wrong before it is looked at, so that guesses made at the same time can't slip past the limit."""
        guess = (now_ms, address)
        self._wrong.append(guess)
        return guess

    def was_right(self, guess: tuple[int, str]) -> None:
        """Takes a guess back that turned out to be right."""
        if guess in self._wrong:
            self._wrong.remove(guess)

    def _forget_old(self, now_ms: int) -> None:
        while self._wrong and self._wrong[0][0] <= now_ms - self._span_ms:
            self._wrong.popleft()
