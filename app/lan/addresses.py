"""The names and addresses by which this machine is reached in the hall, found without a single packet leaving it."""

import ipaddress
import re
import socket
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from app.lan.names import OUR_NAMES, in_private_range, machine_name

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
# Asking the kernel for the route to a documentation address tells which of our addresses it would use. A UDP socket that
# is only connected sends nothing.
ROUTE_PROBES = ("192.0.2.1", "10.255.255.255", "172.31.255.255", "192.168.255.255")
NAMED_AGE_S = 5.0  # an address that only a resolver tells is known within twice this time, and what that takes
FIRST_ANSWER_S = 5.0  # how long a start waits for a resolver
FIB_TRIE = Path("/proc/net/fib_trie")


def lan_addresses() -> list[str]:
    """The IPv4 addresses of this machine that other devices in the hall can use; the one of the default route first.

    Loopback and self-assigned addresses are left out. Public ones come last: a hall's network is rarely one.
    """
    found = _plain([*_by_route(), *(_by_kernel_table() or _by_name())])
    return sorted(found, key=lambda address: not _is_private(address))


def own_hosts(extra: Iterable[str] = ()) -> frozenset[str]:
    """Every host name under which a browser may rightly ask this machine, in lower case, without port."""
    bare = socket.gethostname().lower()
    names = [*LOOPBACK, *OUR_NAMES, *lan_addresses(), *_own_ipv6(), machine_name(), bare, *(name.lower() for name in extra)]
    return frozenset(name for name in names if name)


def certain_addresses() -> list[str]:
    """The addresses of this machine that its certificate may name: the private ones, and loopback."""
    lasting = [address.strip("[]") for address in _own_ipv6() if not address.startswith("[fe80")]
    found = ["127.0.0.1", "::1", *lan_addresses(), *lasting]
    return [address for address in dict.fromkeys(found) if in_private_range(address)]


def best_address() -> str:
    """The address to print on a QR code: the first on the LAN, or loopback when there is no network at all."""
    return next(iter(lan_addresses()), "127.0.0.1")


def is_loopback(address: str) -> bool:
    """Whether a client's address is this machine itself."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return False
    mapped = parsed.ipv4_mapped if isinstance(parsed, ipaddress.IPv6Address) else None
    return (mapped or parsed).is_loopback


def _plain(addresses: Iterable[str]) -> list[str]:
    kept: dict[str, None] = {}
    for text in addresses:
        address = ipaddress.IPv4Address(text)
        if not (address.is_loopback or address.is_link_local or address.is_unspecified or address.is_multicast):
            kept[text] = None
    return list(kept)


def _is_private(address: str) -> bool:
    return ipaddress.IPv4Address(address).is_private


def _by_route() -> list[str]:
    found = []
    for probe in ROUTE_PROBES:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
            try:
                asked.connect((probe, 9))
                found.append(str(asked.getsockname()[0]))
            except OSError:
                continue
    return found


def _by_kernel_table() -> list[str]:
    """On Linux every local address stands in the kernel's routing table, whatever the routes are."""
    try:
        text = FIB_TRIE.read_text(encoding="ascii")
    except OSError:
        return []
    return re.findall(r"\|-- (\d+\.\d+\.\d+\.\d+)\n\s+/32 host LOCAL", text)


def _by_name() -> list[str]:
    """Elsewhere the system is asked for its own name's addresses, which may take a resolver seconds: nobody waits for more than
    the first answer."""
    return _NAMED.known()


def _resolved() -> list[str]:
    try:
        return socket.gethostbyname_ex(socket.gethostname())[2]
    except OSError:
        return []


class _Kept:
    """An answer that is slow to get: kept, and asked for anew by a thread of its own when it is old."""

    def __init__(self, ask: Callable[[], list[str]]) -> None:
        self._ask, self._answer, self._asked_at = ask, list[str](), float("-inf")
        self._lock, self._thread = threading.Lock(), threading.Thread()

    def known(self) -> list[str]:
        """What was last answered; the first answer is waited for, a while."""
        with self._lock:
            first = self._asked_at == float("-inf")
            if not self._thread.is_alive() and time.monotonic() - self._asked_at > NAMED_AGE_S:
                self._asked_at = time.monotonic()
                self._thread = threading.Thread(target=self._look, daemon=True)
                self._thread.start()
        if first:
            self._thread.join(FIRST_ANSWER_S)
        return self._answer

    def _look(self) -> None:
        self._answer = self._ask()


_NAMED = _Kept(_resolved)


def _own_ipv6() -> list[str]:
    """IPv6 addresses from the kernel's table, in brackets as a Host header writes them."""
    try:
        lines = Path("/proc/net/if_inet6").read_text(encoding="ascii").split("\n")
    except OSError:
        return []
    raw = [line.split()[0] for line in lines if line]
    return [f"[{ipaddress.IPv6Address(bytes.fromhex(text))}]" for text in raw]
