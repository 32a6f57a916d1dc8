"""Keeps the activity log: around every page that changes something, or takes it along as a file."""

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.hall.doing import begin, end
from app.store.acts import DOING, Kind, Outcome
from app.web.roles import DOORS

SENT_AWAY_TO = frozenset(door.asks_at for door in DOORS if door.asks_at)  # whoever is sent there was not let in


class Recorded:
    """Stands before one page, behind the server's doors: what they refuse reaches nothing that could change. `kind` and `words`
    are what the page's row says: a kind to sort by, and words a person reads."""

    def __init__(self, app: ASGIApp, kind: Kind, words: str) -> None:
        self.app, self.kind, self.words = app, kind, words

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on. What came of it is written before it is answered, where that was not written with the change."""
        hall, address = scope["app"].state.hall, scope["client"][0] if scope.get("client") else ""
        doing = begin(hall, self.kind, self.words, scope["path_params"], address)

        async def written_first(message: Message) -> None:
            if message["type"] == "http.response.start":
                await end(hall, doing, _outcome(message), always=scope["method"] == "GET")
            await send(message)

        try:
            await self.app(scope, receive, written_first)
        except Exception:
            await end(hall, doing, "failed")
            raise
        finally:
            DOING.set(None)


def _outcome(message: Message) -> Outcome:
    """What a request came to, by the status of its answer; whoever is sent to a door was refused."""
    status, headers = message["status"], Headers(raw=message["headers"])
    turned_away = status == 303 and headers.get("location", "").partition("?")[0] in SENT_AWAY_TO
    return "failed" if status >= 500 else "refused" if status >= 400 or turned_away else "done"
