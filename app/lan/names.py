"""The names that this laptop's certificate may carry, and under which tablets find it.

A tablet's memory belongs to one name and one port, so the name is chosen once, at the first start, and stays: another laptop that
takes over in the middle of an event has the same one without being told.
"""

import ipaddress
import re
import socket

LABEL = "lane-ledger"
MOST_LEDGERS = 9  # laptops with a ledger of their own in one network
# The second laptop in the same hall finds the first name taken, and so on.
OUR_NAMES = (f"{LABEL}.local", *(f"{LABEL}-{n}.local" for n in range(2, MOST_LEDGERS + 1)))
# A name ends in what only a local network answers for: .local (RFC 6762) or home.arpa (RFC 8375).
LOCAL_NAME = re.compile(r"(?:[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?\.)+(?:local|home\.arpa)")

# What an address in a certificate may be: the ranges that no stranger's site can have. Private (RFC 1918), shared by a carrier
# (RFC 6598), without a router (RFC 3927), loopback, and the three that are kept for examples (RFC 5737) and never routed;
# in IPv6 unique local (RFC 4193), link-local, loopback, examples (RFC 3849).
PRIVATE_RANGES = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "100.64.0.0/10", "169.254.0.0/16", "127.0.0.0/8"),
    *("192.0.2.0/24", "198.51.100.0/24", "203.0.113.0/24"),
    *("fc00::/7", "fe80::/10", "::1/128", "2001:db8::/32"),
)
_NETWORKS = tuple(ipaddress.ip_network(one) for one in PRIVATE_RANGES)


def in_private_range(address: str) -> bool:
    """Whether an address, IPv6 with or without brackets, may stand in our certificate."""
    try:
        parsed = ipaddress.ip_address(address.strip("[]"))
    except ValueError:
        return False
    return any(parsed.version == network.version and parsed in network for network in _NETWORKS)


def is_local_name(name: str) -> bool:
    """Whether a name is one that only a local network answers for, in lower case."""
    return len(name) <= 253 and LOCAL_NAME.fullmatch(name) is not None


def machine_name() -> str:
    """This machine's name on the local network, such as `hall-laptop.local`, or an empty text if it has none worth using."""
    label = socket.gethostname().split(".")[0].lower()
    name = f"{label}.local"
    return name if label != "localhost" and is_local_name(name) else ""
