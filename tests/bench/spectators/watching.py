"""Many boards that follow the stream and do nothing else: `python -m tests.bench.spectators.watching PORT BOARDS`.

Prints how many follow once all are there; ends when its input does, and prints how many updates they had. Each four come from an
address of their own, as phones in a hall would; only Linux takes all of 127.0.0.0/8 for its own.
"""

import asyncio
import sys

BOARDS_OF_ONE_ADDRESS = 4
SETTLED_S, QUIET = 0.5, 20  # a busy machine lets a process wait for seconds


class Board(asyncio.Protocol):
    """One stream, its bytes counted as updates and dropped."""

    updates = 0
    followed = 0

    def __init__(self, port: int) -> None:
        self._request = f"GET /board/stream HTTP/1.1\r\nHost: localhost:{port}\r\nAccept: text/event-stream\r\n\r\n".encode()
        self._answered = False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The line is open."""
        assert isinstance(transport, asyncio.Transport)
        transport.write(self._request)

    def data_received(self, data: bytes) -> None:
        """Counts."""
        if not self._answered:
            self._answered = True
            Board.followed += data.startswith(b"HTTP/1.1 200")
        Board.updates += data.count(b"event: board")


def address_of(board: int) -> str:
    """The address that a board comes from."""
    if sys.platform != "linux":
        return "127.0.0.1"
    number = board // BOARDS_OF_ONE_ADDRESS
    return f"127.0.{1 + number // 200}.{1 + number % 200}"


async def watch(port: int, boards: int) -> None:
    """Follows until the input ends."""
    loop = asyncio.get_running_loop()
    for number in range(boards):
        await loop.create_connection(lambda: Board(port), "127.0.0.1", port, local_addr=(address_of(number), 0))
    quiet = 0
    while Board.followed < boards and quiet < QUIET:  # after that the rest was refused
        before = Board.followed
        await asyncio.sleep(SETTLED_S)
        quiet = quiet + 1 if Board.followed == before else 0
    print(Board.followed, flush=True)
    await loop.run_in_executor(None, sys.stdin.read)
    print(Board.updates, flush=True)


if __name__ == "__main__":
    asyncio.run(watch(int(sys.argv[1]), int(sys.argv[2])))
