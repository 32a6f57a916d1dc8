"""Guessing at codes and passwords: what a wrong one is told, and how many are looked at."""

from math import ceil

from app.actions.hall import Hall
from app.lan.addresses import is_loopback
from app.live.guesses import Guesses


class WrongSecret(ValueError):
    """Raised for a wrong password, code or token; its text is the sentence to show."""


class TooManyGuesses(ValueError):
    """Raised when an address, or all together, guessed wrong too often; its text is the sentence to show."""

    def __init__(self, wait_ms: int) -> None:
        self.wait_s = ceil(wait_ms / 1000)
        number, what = (self.wait_s, "second") if self.wait_s < 60 else (ceil(self.wait_s / 60), "minute")
        super().__init__(f"Too many wrong tries. Try again in {number} {what}{'' if number == 1 else 's'}.")


class Guess:
    """Counts a guess as wrong while it is looked at; leaving without an error takes it back. Raises TooManyGuesses at once.

    The laptop itself, and a browser that has logged in before (`known`, its hash), are not held up by what others get wrong.
    """

    def __init__(self, hall: Hall, guesses: Guesses, address: str, known: str = "") -> None:
        here = is_loopback(address)
        self._guesses = hall.presence.at_laptop if here else hall.presence.known_here if known else guesses
        self._address, self._now = (address if here else known or address), hall.time.server_ms()

    def __enter__(self) -> None:
        wait_ms = self._guesses.wait_ms(self._address, self._now)
        if wait_ms:
            raise TooManyGuesses(wait_ms)
        self._counted = self._guesses.begin(self._address, self._now)

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is None:
            self._guesses.was_right(self._counted)


def digits(typed: str) -> str:
    """A code as typed, without the blanks that people put into it; other characters make it wrong."""
    bare = "".join(typed.split())
    return bare if bare.isascii() and bare.isdigit() else ""
