"""Doors: who may come in by a route. Every route has exactly one; tests/web/test_roles.py knocks at each of them as everybody.

A page declares its door by what it depends on (`who: Desk`, or `dependencies=EVERYBODY`). A plain route, a socket or a mount has
no dependencies: it wears its door as a decorator, and asks by itself.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from fastapi import FastAPI
from fastapi.dependencies.models import Dependant
from fastapi.routing import RouteContext, iter_route_contexts

Visitor = Literal["desk", "head judge", "lane", "lifter", "reader"]
VISITORS: tuple[Visitor, ...] = ("desk", "head judge", "lane", "lifter", "reader")
ALL = frozenset(VISITORS)


@dataclass(frozen=True, slots=True)
class Door:
    """Whom a route lets in, and why in a few words; and where anybody else is sent to say who they are."""

    name: str
    admits: frozenset[Visitor]
    words: str
    asks_at: str = ""


DESK = Door("desk", frozenset({"desk"}), "whoever runs the day", "/desk/enter")
HEAD_JUDGE = Door(
    "head judge",
    frozenset({"desk", "head judge"}),
    "whoever rules, by a password of their own or the desk's",
    "/review/enter",
)
JUDGE = Door("judge", frozenset({"desk", "lane"}), "who judges a lane; each on its own lane", "/pair")
LANE = Door(
    "lane",
    frozenset({"desk", "lane", "lifter"}),
    "the devices of a lane, its lifter's and their coach's too; each at its own place",
    "/pair",
)
LEDGER = Door("ledger", ALL - {"reader"}, "who may make marks; which ones is decided mark by mark")
READER = Door("everybody", ALL, "what hangs on the wall, and the doors themselves")
LINK = Door("own link", ALL, "whoever holds an entry's own link, which can't be guessed")
DEMO = Door("demo", ALL, "everybody, and only where the server runs the demo")
DOORS = (DESK, HEAD_JUDGE, JUDGE, LANE, LEDGER, READER, LINK, DEMO)

Called = TypeVar("Called", bound=Callable[..., Any])


def wears(door: Door) -> Callable[[Called], Called]:
    """Says which door a dependency keeps, or which one a plain route keeps by itself."""

    def put_on(called: Called) -> Called:
        called.door = door  # type: ignore[attr-defined]
        return called

    return put_on


@dataclass(frozen=True, slots=True)
class Way:
    """One way into the application: its methods (none for a socket or a mount), its address, and the doors that it declares."""

    methods: tuple[str, ...]
    path: str
    doors: tuple[Door, ...]


def ways(app: FastAPI) -> list[Way]:
    """Every route of an application, in the order in which they are tried."""
    return [
        Way(tuple(sorted(route.methods or ())), route.path or "/", tuple(dict.fromkeys(_doors(route))))
        for route in iter_route_contexts(app.routes)
    ]


def _doors(route: RouteContext) -> Iterator[Door]:
    worn_by = route.endpoint or getattr(route.original_route, "app", None)
    if isinstance(worn := getattr(worn_by, "door", None), Door):
        yield worn
    dependant = getattr(route, "dependant", None)
    if isinstance(dependant, Dependant):
        yield from _kept(dependant)


def _kept(dependant: Dependant) -> Iterator[Door]:
    for part in dependant.dependencies:
        if isinstance(kept := getattr(part.call, "door", None), Door):
            yield kept
        yield from _kept(part)
