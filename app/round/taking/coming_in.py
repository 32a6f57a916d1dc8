"""A gym's file while it comes in: read a piece at a time, no further than it is the one that was promised, and few at once.

Whoever knows a promised digest may begin to send. First goes what its gym's key signed about its pieces (at most 64 kB);
so of any other file one piece is read. A file is spooled to the disk while it comes, however slowly; in memory are only those
that are being taken, for a moment each. Both are bounded in bytes for each process: a gym of 40 sends 3 MB, the largest that may
be handed in is 128. In the last minute before a deadline forty files of 3 MB were in memory at once, four times each.
"""

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from tempfile import SpooledTemporaryFile
from typing import IO, TypeVar
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.round.checking import read_checked
from app.rules.round.kit import PIECE_BYTES, BadKit, Pieces, Signed
from app.store.database import Database
from app.store.writer import StoreTrouble

MOST_BEFORE = 64 * 1024  # bytes before the file itself
MOST_COMING = 512 * 1024 * 1024  # bytes of files on the disk, while they come
MOST_TAKEN = 24 * 1024 * 1024  # bytes of files in memory, while they are taken; a larger one is alone there
MOST_IN_MEMORY = 1024 * 1024  # bytes of a file that is not on the disk yet
LONGEST_TURN_S = 60.0  # each takes some hundredths of a second, the largest some seconds
WAITS_S = 20.0  # for its turn; a client that is heard nothing of for longer gives up
T = TypeVar("T")
ANOTHER_FILE = "This is not the file of the digest that was promised."
NO_PIECES = "What tells the pieces of the file, signed with its gym's key, does not stand before it."
TOO_MANY = "Too many files come in at this moment. Send it again in a minute; its digest is here."


class NoSpace(StoreTrouble):
    """Raised where too many files come in at once; its text is the sentence to show."""


class Coming:
    """The body of a request as it comes in."""

    def __init__(self, chunks: AsyncIterator[bytes]) -> None:
        self._chunks, self._ahead = chunks, bytearray()

    async def pieces(self) -> Signed:
        """What stands before the file: two lines, whose signature is by the key that they name. Raises BadKit."""
        while self._ahead.count(b"\n") < 2:
            if len(self._ahead) > MOST_BEFORE or not await self._more():
                raise BadKit(NO_PIECES)
        end = self._ahead.index(b"\n", self._ahead.index(b"\n") + 1) + 1
        if end > MOST_BEFORE:
            raise BadKit(NO_PIECES)
        before = bytes(self._ahead[:end])
        del self._ahead[:end]
        try:
            return read_checked(before, "pieces")
        except BadKit:
            raise BadKit(NO_PIECES) from None

    async def file(self, wanted: Pieces, into: IO[bytes]) -> None:
        """The file behind it, piece by piece. Raises BadKit with the first piece that is of another."""
        left, whole = wanted.bytes, sha256()
        for piece in wanted.pieces:
            size = min(PIECE_BYTES, left)
            while len(self._ahead) < size and await self._more():
                pass
            content = self._ahead[:size]
            del self._ahead[:size]
            if sha256(content).hexdigest() != piece:
                raise BadKit(ANOTHER_FILE)
            whole.update(content)
            left -= size
            await asyncio.to_thread(into.write, content)
        if self._ahead or await self._more() or whole.hexdigest() != wanted.hand_in:
            raise BadKit(ANOTHER_FILE)

    async def _more(self) -> bool:
        """Whether more came."""
        async for chunk in self._chunks:
            if chunk:
                self._ahead += chunk
                return True
        return False


class Space:
    """So many bytes for files that come in. Each waits for its turn, in order; for the loop of one server."""

    def __init__(self, most: int) -> None:
        self._most = self._left = most
        self._waiting = deque[tuple[int, asyncio.Future[None]]]()

    @asynccontextmanager
    async def taken(self, size: int, waits_s: float) -> AsyncIterator[None]:
        """Has so many bytes while it lasts, or all that there are. Raises NoSpace where no turn comes."""
        size = min(size, self._most)
        await self._take(size, waits_s)
        try:
            yield
        finally:
            self._give(size)

    async def _take(self, size: int, waits_s: float) -> None:
        turn = asyncio.get_running_loop().create_future()
        self._waiting.append((size, turn))
        self._let_in()
        try:
            await asyncio.wait_for(turn, waits_s)
        except BaseException as wrong:
            if turn.done() and not turn.cancelled():  # it came while its request ended
                self._give(size)
            else:
                self._waiting = deque(one for one in self._waiting if one[1] is not turn)
                self._let_in()
            if isinstance(wrong, TimeoutError):
                raise NoSpace(TOO_MANY) from None
            raise

    def _give(self, size: int) -> None:
        self._left += size
        self._let_in()

    def _let_in(self) -> None:
        while self._waiting and self._waiting[0][0] <= self._left:
            size, turn = self._waiting.popleft()
            if not turn.done():
                self._left -= size
                turn.set_result(None)


@dataclass(frozen=True, slots=True)
class Spaces:
    """The spaces of a server over a store: for what comes, and for what is taken."""

    coming: Space = field(default_factory=lambda: Space(MOST_COMING))
    taken: Space = field(default_factory=lambda: Space(MOST_TAKEN))


_SPACES: WeakKeyDictionary[Database, Spaces] = WeakKeyDictionary()


def spaces_of(database: Database) -> Spaces:
    """The spaces of a server over a store."""
    return _SPACES.setdefault(database, Spaces())


@asynccontextmanager
async def spooled(coming: Coming, wanted: Pieces, space: Space) -> AsyncIterator[IO[bytes]]:
    """A file that has come, on the disk. Raises BadKit, NoSpace."""
    async with space.taken(wanted.bytes, WAITS_S):
        with SpooledTemporaryFile(MOST_IN_MEMORY) as into:
            await coming.file(wanted, into)
            yield into


async def in_turn(hall: Hall, came: IO[bytes], size: int, take: Callable[[bytes, int], T]) -> T:
    """What is done in a thread with a file that has come, of so many bytes, and with when it did, in its turn. Raises
    NoSpace."""
    now_ms = hall.time.wall_ms()

    def do() -> T:
        came.seek(0)
        return take(came.read(), now_ms)

    async with spaces_of(hall.database).taken.taken(size, LONGEST_TURN_S):
        return await asyncio.to_thread(do)
