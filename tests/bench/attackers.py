"""Spectators who mean no good: `python -m tests.bench.attackers PORT SLOW IDLE FLOODS`, until its input ends.

Slow and idle connections come from many addresses and come again when they are cut. Each flood comes from one address, over as
many connections as it gets, with the dearest things that need no session. Prints what was answered, as JSON.
"""

import asyncio
import contextlib
import itertools
import json
import socket
import sys
from collections import Counter
from typing import NoReturn

EACH = 20  # connections of one address
FLOODING = 30  # connections of a flood
AGAIN_S = 0.05
WRONG = b'{"code":"000000"}'
LARGE = 300_000


def address(number: int) -> str:
    """One of this machine's many addresses."""
    return f"127.8.{number // 250}.{number % 250 + 1}"


class Attack:
    """Everything that is done to one port, and what was answered to the flood."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.answers: Counter[str] = Counter()
        self.cut = 0
        host = f"Host: localhost:{port}\r\n".encode()
        self.slow = b"GET /board HTTP/1.1\r\nHost: loc"
        self.idle = b"GET /trust/yes HTTP/1.1\r\n" + host + b"\r\n"
        page = b"GET /board HTTP/1.1\r\nAccept-Encoding: gzip\r\n" + host + b"\r\n"
        guess = (
            b"POST /pair HTTP/1.1\r\n"
            + host
            + b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(WRONG)
            + WRONG
        )
        large = b"POST /marks HTTP/1.1\r\n" + host + b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n" % LARGE
        self.dear = (page, guess, large + b"x" * LARGE)

    async def hold(self, source: str, first: bytes) -> NoReturn:
        """Opens a connection, says the beginning of something, and does so again whenever it is cut."""
        while True:
            with contextlib.suppress(OSError):
                reader, writer = await self._open(source)
                writer.write(first)
                with contextlib.suppress(OSError):
                    while await reader.read(65536):
                        pass
                self.cut += 1
                writer.close()
            await asyncio.sleep(AGAIN_S)

    async def flood(self, source: str, first: int) -> NoReturn:
        """Asks for one dear thing after another as fast as it is answered."""
        turns = itertools.cycle(self.dear[first:] + self.dear[:first])
        while True:
            try:
                reader, writer = await self._open(source)
            except OSError:
                await asyncio.sleep(AGAIN_S)
                continue
            with contextlib.suppress(OSError, EOFError, ValueError, asyncio.LimitOverrunError):
                for request in turns:
                    writer.write(request)
                    await self._answer(reader)
            writer.close()

    async def _open(self, source: str) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        return await asyncio.open_connection("127.0.0.1", self.port, local_addr=(source, 0), family=socket.AF_INET)

    async def _answer(self, reader: asyncio.StreamReader) -> None:
        head = await reader.readuntil(b"\r\n\r\n")
        self.answers[head.split(b" ", 2)[1].decode()] += 1
        lower = head.lower()
        if b"content-length: " in lower:
            await reader.readexactly(int(lower.split(b"content-length: ")[1].split(b"\r")[0]))


async def main(port: int, slow: int, idle: int, floods: int) -> None:
    """Attacks until told to stop."""
    attack = Attack(port)
    work = [attack.hold(address(n // EACH), attack.slow) for n in range(slow)]
    work += [attack.hold(address(200 + n // EACH), attack.idle) for n in range(idle)]
    work += [attack.flood(address(400 + n // FLOODING), n % 3) for n in range(floods * FLOODING)]
    tasks = [asyncio.create_task(one) for one in work]
    await asyncio.to_thread(sys.stdin.read)
    print(json.dumps({"answers": attack.answers, "cut": attack.cut}), flush=True)
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)


if __name__ == "__main__":
    asyncio.run(main(*(int(number) for number in sys.argv[1:])))
