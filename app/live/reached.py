"""Whether anybody from the hall has reached this laptop since its server was started: a firewall is quiet about whom it drops."""

import ipaddress
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(slots=True)
class Reached:
    """The first who came from another computer: their address, empty until then, and when in Unix milliseconds.

    closed: the sentence of a door that can't be opened, else empty. opened_wall_ms: when one that the system had closed was
    opened again, 0 if that never happened. Changed on the event loop only; `told` hears of each.
    """

    by: str = ""
    wall_ms: int = 0
    closed: str = ""
    opened_wall_ms: int = 0
    told: Callable[[], None] = lambda: None

    def came(self, address: str, wall_ms: int) -> None:
        """Somebody asked from an address that is none of this computer's own; what is no address at all proves nothing."""
        if self.by or not _is_address(address):
            return
        self.by, self.wall_ms = address, wall_ms
        self.told()

    def door(self, sentence: str, wall_ms: int) -> None:
        """A door is closed, as the sentence says; or it was, and is open again."""
        self.closed = sentence
        self.opened_wall_ms = self.opened_wall_ms if sentence else wall_ms
        self.told()

    def plain(self) -> list[object]:
        """The same as JSON, for the other processes of a server."""
        return [self.by, self.wall_ms]

    def take(self, plain: Sequence[object]) -> None:
        """Takes over what another process says."""
        by, wall_ms = plain
        if by and not self.by:
            self.by, self.wall_ms = str(by), int(str(wall_ms))


def _is_address(text: str) -> bool:
    try:
        parsed = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return False
    mapped = parsed.ipv4_mapped if isinstance(parsed, ipaddress.IPv6Address) else None
    return not (mapped or parsed).is_loopback
