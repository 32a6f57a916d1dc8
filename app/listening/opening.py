"""Opening the ports that a server listens on: waiting for one that a server before it is still letting go, and what to say of one
that can't be had.

A tablet's memory belongs to one name and one port, so no other port is taken by itself, and none is offered without that word.
"""

import errno
import socket
import sys
import time
from contextlib import suppress

from app.listening.ports import listen_on

PORT_FLAG, HTTPS_FLAG = "--port", "--https-port"
AGAIN_S = 0.25  # between two tries for a port
ANSWERS_WITHIN_S = 1.0  # a server that is alive has said something by then, one that is closing has not
APART = 10  # from a port that is taken to the one that is offered: the port beside it is that of HTTPS

IN_USE = (errno.EADDRINUSE, 10048)
NOT_OURS = (errno.EADDRNOTAVAIL, 10049)
NOT_ALLOWED = (errno.EACCES, 10013)
ADMINISTRATORS = 1024  # ports below it are the administrator's, but for Windows


class PortTrouble(Exception):
    """Raised when a port can't be listened on; its text says why and what to do."""


def open_port(host: str, port: int, flag: str = PORT_FLAG, patience_s: float = 0.0) -> socket.socket:
    """A socket that listens on the host and port (0: any free one), or PortTrouble.

    A port at which nobody answers although it is in use belongs to a server that is just ending, or to connections that it has
    left behind: it is tried again for `patience_s` seconds. `flag`: by which the port was chosen.
    """
    until, told = time.monotonic() + patience_s, False
    while True:
        try:
            return listen_on(host, port)
        except (OSError, OverflowError) as wrong:
            waits = getattr(wrong, "errno", None) in IN_USE and time.monotonic() < until
            if not waits or somebody_answers(host, port):
                raise PortTrouble(_sentence(host, port, wrong, flag)) from None
        if not told:
            print(f"Port {port} is not free yet. Trying again for {patience_s:.0f} s.", file=sys.stderr, flush=True)
            told = True
        time.sleep(AGAIN_S)


def somebody_answers(host: str, port: int) -> bool:
    """Whether a server is alive at a port of this computer."""
    here = {"0.0.0.0": "127.0.0.1", "": "127.0.0.1", "::": "::1"}.get(host, host)
    with suppress(OSError), socket.create_connection((here, port), ANSWERS_WITHIN_S) as line:
        line.sendall(b"HEAD /health HTTP/1.0\r\nHost: localhost\r\n\r\n")
        return line.recv(1) != b""
    return False


def _sentence(host: str, port: int, wrong: Exception, flag: str) -> str:
    number = getattr(wrong, "errno", None)
    if number in NOT_ALLOWED:
        return _not_allowed(port, flag)
    if isinstance(wrong, socket.gaierror) or number in NOT_OURS:
        return f"This computer has no address {host}. Leave --host out, or use --host 127.0.0.1 for this computer alone."
    if number not in IN_USE and not isinstance(wrong, OverflowError):
        return f"Port {port} can't be opened: {wrong}. {_another(port, flag)}"
    what = f"Port {port}, for HTTPS," if flag == HTTPS_FLAG else f"Port {port}"
    return f"{what} is already in use, perhaps by another Lane Ledger. Close it and start again. {_another(port, flag)}"


def _not_allowed(port: int, flag: str) -> str:
    if sys.platform != "win32" and port < ADMINISTRATORS:
        return f"Port {port} is reserved for the administrator. Choose one above 1023: {flag} 8080"
    return (
        f"The system has reserved port {port}, or another program is using it exclusively. On Windows restarting the "
        "computer often frees it; `netsh interface ipv4 show excludedportrange protocol=tcp` lists what Windows has set aside. "
        f"{_another(port, flag)}"
    )


def _another(port: int, flag: str) -> str:
    other = port + APART if port + APART < 65535 else 8775
    without = ", or --no-https to go without HTTPS" if flag == HTTPS_FLAG else ""
    return f"Paired tablets find this laptop at this port only; if none is paired, another will do: {flag} {other}{without}"
