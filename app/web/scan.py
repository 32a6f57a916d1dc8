"""What the modules of pages say of their rows, read out of their text: a start knows every address and loads none of them.

To load them all would cost a third of a second and 15 MB; to read them is a matter of two milliseconds. A row is written so that
it can be read: `@routes.get("/an/address", …)` at the left margin, the address in full or beginning with the module's `HERE`, and
a number, a text or True for what others must know before the module is there. tests/web/test_later.py holds each module to it.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from app.web.rows import Says

APP = Path(__file__).parents[1]
AT_ONCE = re.compile(r"^routes = Rows\([^\n]*\bat_once=True", re.MULTILINE)
HERE = re.compile(r'^HERE = "([^"]+)"', re.MULTILINE)
ROW = re.compile(
    r'^@routes\.(?:get|post|websocket|plain)\(\s*(?:f?"([^"]+)"|HERE)(.*?)\)\n(?=@|def |async def )', re.MULTILINE | re.DOTALL
)
TOLD = re.compile(r'\b(takes_mb|takes_kb|cheap|from_elsewhere|printed)=(?:True|(\d+)|"([^"]*)")')


@dataclass(frozen=True, slots=True)
class Found:
    """A row as its module's text tells it: the address, and of what it says only that which is needed before it is loaded."""

    address: str
    says: Says


@dataclass(frozen=True, slots=True)
class Module:
    """A module of pages (`app.plan.pages.cut`), not loaded: whether it is needed at once, and its rows in their order."""

    name: str
    at_once: bool
    rows: tuple[Found, ...]


@lru_cache(maxsize=1)
def modules() -> tuple[Module, ...]:
    """Every module of pages, of whichever job; their text is read once in a process."""
    return tuple(module for path in sorted(APP.glob("*/pages/*.py")) if (module := read(path)).rows)


def read(path: Path) -> Module:
    """The rows in a module's text."""
    text = path.read_text(encoding="utf-8")
    here = found[1] if (found := HERE.search(text)) else ""
    name = ".".join(("app", *path.relative_to(APP).with_suffix("").parts))
    return Module(name, AT_ONCE.search(text) is not None, tuple(_rows(text, here)))


def _rows(text: str, here: str) -> Iterator[Found]:
    for address, rest in ROW.findall(text):
        whole = address.replace("{HERE}", here).replace("{{", "{").replace("}}", "}") if address else here
        yield Found(whole, _said({word: number or text for word, number, text in TOLD.findall(rest)}))


def _said(told: Mapping[str, str]) -> Says:
    return Says(
        takes_mb=int(told.get("takes_mb", 0)),
        takes_kb=int(told.get("takes_kb", 0)),
        printed=told.get("printed", ""),
        cheap="cheap" in told,
        from_elsewhere="from_elsewhere" in told,
    )
