"""The names and addresses by which this machine is reached in the hall, found without a single packet leaving it."""

import ipaddress
import re
import socket
from collections.abc import Iterable
from pathlib import Path

from app.lan.names import OUR_NAMES, in_private_range, machine_name

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
# Asking the kernel for the route to a documentation address tells which of our addresses it would use. A UDP socket that
# is only connected sends nothing.
ROUTE_PROBES = ("192.0.2.1", "10.255.255.255", "172.31.255.255", "192.168.255.255")
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
    """Elsewhere the system knows its own name's addresses; it answers that one from its own table."""
    try:
        return socket.gethostbyname_ex(socket.gethostname())[2]
    except OSError:
        return []


def _own_ipv6() -> list[str]:
    """IPv6 addresses from the kernel's table, in brackets as a Host header writes them."""
    try:
        lines = Path("/proc/net/if_inet6").read_text(encoding="ascii").split("\n")
    except OSError:
        return []
    raw = [line.split()[0] for line in lines if line]
    return [f"[{ipaddress.IPv6Address(bytes.fromhex(text))}]" for text in raw]
