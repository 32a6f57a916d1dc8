"""A page is one row: its address, its door, what the activity log calls it, and what it answers, told where it stands.

A module of pages keeps its rows in one name, `routes = Rows()`, and puts one above each page. Everything else follows from there:
which module a first request loads (`later.py` reads the addresses out of the module's text), the table in which addresses are
tried, the record, the largest body, the description (`described.py`) and the tests' lists.
"""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypedDict, TypeVar, Unpack

from fastapi.params import Depends
from fastapi.routing import APIRoute, APIWebSocketRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from app.store.acts import Kind
from app.web.acts import Recorded
from app.web.fresh import Fresh
from app.web.shapes import Plain
from app.web.spoken import Spoken

Said = tuple[Kind, str]  # a kind to sort by, and words a person reads
Called = TypeVar("Called", bound=Callable[..., Any])
Depending = Sequence[Depends]

ONLY_LOOKS = None  # the record of something that is sent in and changes nothing
KB = 1024
MB = 1024 * KB


@dataclass(frozen=True, slots=True)
class Says:
    """What a row says beyond its address and its door.

    record: what it is called in the activity log; None for what leaves no line.
    answers: what its JSON is made of, where it answers with JSON and its function's type does not say all.
    takes: what the JSON is made of that is sent there; None for a form.
    takes_mb: the largest file that it takes, in MB; 0 for forms alone.
    takes_kb: the most that is read of what is sent there, in kB, where that is less than a form may be: anybody may send it.
    printed: by what words the page of paper offers it, if it is a sheet of one event; the event is the gap in its address.
    piece: it is a part of a page, which a script puts in its place.
    cheap: it is made once and sent often, so that a crowd of strangers may ask for many.
    as_it_is: it waits for no other process of this server: what it shows follows by itself.
    whole: whoever reads it takes what is not in it for what is not there.
    even_so: it is done also by a process that may lack what others did: it stops something, or it only takes in.
    from_elsewhere: scripts of other origins may read it, and it says itself which.
    quick: it is asked for so often that it has a way of its own past all others (`quick.py`).
    spoken: people read it in the hall, each in their language (`spoken.py`).
    """

    record: Said | None = None
    answers: Plain | None = None
    takes: Plain | None = None
    takes_mb: int = 0
    takes_kb: int = 0
    printed: str = ""
    piece: bool = False
    cheap: bool = False
    as_it_is: bool = False
    whole: bool = False
    even_so: bool = False
    from_elsewhere: bool = False
    quick: bool = False
    spoken: bool = False

    @property
    def needs_all(self) -> bool:
        """Whether a process that may lack what others did refuses it: what is kept for good, taken along, printed or taken for
        all there is. Nobody would see later that something was not in it."""
        return (self.whole or self.record is not None or bool(self.printed)) and not self.even_so


class Fetched(TypedDict, total=False):
    """What the row of a page that is fetched may say."""

    record: Said
    answers: Plain
    printed: str
    piece: bool
    cheap: bool
    as_it_is: bool
    whole: bool
    from_elsewhere: bool
    spoken: bool


class Page(APIRoute):
    """One page in the table of addresses."""

    def __init__(self, address: str, function: Callable[..., Any], method: str, dependencies: Depending, says: Says) -> None:
        super().__init__(address, function, methods=[method], dependencies=dependencies)
        self.says = says
        made: ASGIApp = self.app
        if says.record is not None:
            made = Recorded(made, *says.record)
        made = Spoken(made) if says.spoken else made
        self.app = made if says.as_it_is else Fresh(made, says.needs_all)


class Socket(APIWebSocketRoute):
    """One socket in the table of addresses."""

    says = Says()

    def __init__(self, address: str, function: Callable[..., Any], dependencies: Depending) -> None:
        super().__init__(address, function, dependencies=dependencies)
        self.app = Fresh(self.app)


class Plainly(Route):
    """A page past the framework's forms and doors: its function is given the request and wears its door itself. It waits for no
    other process."""

    def __init__(self, address: str, function: Callable[[Request], Awaitable[Response]], method: str, says: Says) -> None:
        super().__init__(address, function, methods=[method], include_in_schema=False)
        self.says = says


Row = Page | Socket | Plainly


class Rows:
    """The rows of one module. dependencies: what all its pages depend on, such as its door. at_once: judges or the public need
    them from the first moment; all others are loaded when somebody asks for one of them."""

    def __init__(self, *, dependencies: Depending = (), at_once: bool = False) -> None:
        self._dependencies = tuple(dependencies)
        self.at_once = at_once
        self.rows: list[Row] = []

    def get(self, address: str, *, dependencies: Depending = (), **says: Unpack[Fetched]) -> Callable[[Called], Called]:
        """A page that is fetched. What leaves the desk as a file goes on record."""
        return self._page("GET", address, dependencies, Says(**says))

    def post(
        self,
        address: str,
        *,
        record: Said | None,
        dependencies: Depending = (),
        answers: Plain | None = None,
        takes_mb: int = 0,
        takes_kb: int = 0,
        even_so: bool = False,
        spoken: bool = False,
    ) -> Callable[[Called], Called]:
        """What is sent in. Nobody forgets what the record calls it: without `record` its module can't be loaded. What keeps
        anything is never spoken: no language enters what is kept."""
        if spoken and record is not ONLY_LOOKS:
            raise ValueError(f"{address} keeps what is sent to it, so it speaks English alone.")
        says = Says(record=record, answers=answers, takes_mb=takes_mb, takes_kb=takes_kb, even_so=even_so, spoken=spoken)
        return self._page("POST", address, dependencies, says)

    def websocket(self, address: str) -> Callable[[Called], Called]:
        """A socket."""
        return self._kept(lambda function: Socket(address, function, self._dependencies))

    def plain(self, address: str, method: str, says: Says = Says()) -> Callable[[Called], Called]:
        """A page whose function is given the request and wears its door itself."""
        return self._kept(lambda function: Plainly(address, function, method, says))

    def _page(self, method: str, address: str, dependencies: Depending, says: Says) -> Callable[[Called], Called]:
        return self._kept(lambda function: Page(address, function, method, (*self._dependencies, *dependencies), says))

    def _kept(self, made: Callable[[Callable[..., Any]], Row]) -> Callable[[Called], Called]:
        def keep(function: Called) -> Called:
            self.rows.append(made(function))
            return function

        return keep
