"""Guessing at codes and passwords: what a wrong one is told, and how many are looked at."""

import secrets
from math import ceil

from sqlmodel import Session

from app.hall.hall import Hall
from app.lan.addresses import is_loopback
from app.live.guesses import Guesses
from app.rules.values.words import say
from app.store.guesses import guesses_since, put_guess, take_guess_back


class WrongSecret(ValueError):
    """Raised for a wrong password, code or token; its text is the sentence to show."""


class TooManyGuesses(ValueError):
    """Raised when an address, or all together, guessed wrong too often; its text is the sentence to show."""

    def __init__(self, wait_ms: int) -> None:
        self.wait_s = ceil(wait_ms / 1000)
        number, key = (self.wait_s, "guesses.seconds") if self.wait_s < 60 else (ceil(self.wait_s / 60), "guesses.minutes")
        super().__init__(say(key, n=number))


class Guess:
    """Counts a guess as wrong while it is looked at; leaving without an error takes it back. Raises TooManyGuesses at once.

    The laptop itself, and a browser that has logged in before (`known`, its hash), are not held up by what others get wrong. Nor
    does a guess wait that may mean a secret younger than those wrong guesses: `newest_age_ms`, how long ago the newest one was
    made. Older ones must be asked about (`may_mean`) before they are taken.
    """

    def __init__(self, hall: Hall, guesses: Guesses, address: str, known: str = "", newest_age_ms: int | None = None) -> None:
        here = is_loopback(address)
        self._guesses = hall.presence.at_laptop if here else hall.presence.known_here if known else guesses
        self._address, self._now = (address if here else known or address), hall.time.server_ms()
        self._hall, self._key = hall, ""
        self._newest_age_ms = newest_age_ms
        self._used_up_for_ms: int | None = None

    async def __aenter__(self) -> "Guess":
        if self._hall.settings.on_server:
            wait_ms = await self._begin_together()
        else:
            wait_ms = self._wait_ms(self._guesses, self._now)
            if not wait_ms:
                self._counted = self._guesses.begin(self._address, self._now)
        if wait_ms:
            raise TooManyGuesses(wait_ms)
        return self

    def may_mean(self, age_ms: int) -> bool:
        """Whether this guess is one of those that a secret of this age may still be guessed by."""
        return self._used_up_for_ms is None or age_ms < self._used_up_for_ms

    def _wait_ms(self, guesses: Guesses, now_ms: int) -> int:
        since = guesses.used_up_since(self._address, now_ms)
        self._used_up_for_ms = None if since is None else now_ms - since
        younger = self._newest_age_ms is not None and self.may_mean(self._newest_age_ms)
        return 0 if younger else guesses.wait_ms(self._address, now_ms)

    async def __aexit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is not None:
            return
        if self._key:
            await self._hall.database.awrite_quietly(lambda session: take_guess_back(session, self._key))
        else:
            self._guesses.was_right(self._counted)

    async def _begin_together(self) -> int:
        """The same where several processes count: in the store, one after another, so that none gets a try too many."""
        now = self._hall.time.wall_ms()

        def work(session: Session) -> tuple[int, str]:
            wrong = guesses_since(session, self._guesses.pot, now - self._guesses.span_ms)
            wait_ms = self._wait_ms(self._guesses.counting(wrong), now)
            key = "" if wait_ms else secrets.token_urlsafe(12)
            if key:
                put_guess(session, key, self._guesses.pot, self._address, now)
            return wait_ms, key

        wait_ms, self._key = await self._hall.database.awrite_quietly(work)
        return wait_ms


def digits(typed: str) -> str:
    """A code as typed, without the blanks that people put into it; other characters make it wrong."""
    bare = "".join(typed.split())
    return bare if bare.isascii() and bare.isdigit() else ""
