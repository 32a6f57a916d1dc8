"""In which language a page speaks: what its browser has chosen for itself, else what the competition has chosen.

A page that people read in the hall says in its row that it is `spoken`. Only there another language than English is in force, and
only while it is made: what is kept of what is sent in, taken along as a file or read by programs never meets it.
"""

from contextlib import nullcontext

from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Receive, Scope, Send

from app.hall.hall import Hall
from app.rules.values.words import ENGLISH, spoken
from app.wording import catalogue, languages

COOKIE = "ll_language"  # set by js/device/language.js; it opens nothing


class Spoken:
    """Stands before one page and has it made in the language of whoever asks."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on."""
        language = await language_of(HTTPConnection(scope))
        with spoken(catalogue(language)) if language != ENGLISH else nullcontext():
            await self.app(scope, receive, send)


async def language_of(asked: HTTPConnection) -> str:
    """The language of whoever asks."""
    chosen = asked.cookies.get(COOKIE, "")
    if chosen in languages():
        return chosen
    hall: Hall = asked.app.state.hall
    return await hall.language.now(hall.database)
