"""The connection below a request, where the server keeps one: who is at its other end, and whether that is vouched for."""

from typing import Final, Protocol, cast

from starlette.types import Scope

LINE: Final = "lane_ledger.line"  # the ASGI extension that holds it
LAPTOP = ("127.0.0.1", "::1")


class Line(Protocol):
    """What a page may know and say of a connection."""

    own: bool
    known: bool

    def vouch(self) -> None:
        """A paired device has shown its session over it."""


def line_of(scope: Scope) -> Line | None:
    """The connection that a request came over; None where the server keeps none, as in most tests."""
    return cast("Line | None", (scope.get("extensions") or {}).get(LINE))


def caller_of(scope: Scope) -> tuple[str, bool]:
    """The address that a request comes from, and whether that is this very computer."""
    client, server = scope.get("client"), scope.get("server")
    address = str(client[0]) if client else ""
    return address, address in LAPTOP or (server is not None and address == str(server[0]))
