"""A listening socket on an address, the same way at the start and when one has to be opened again."""

import socket
import sys

BACKLOG = 1024  # how many may wait to be taken


def listen_on(host: str, port: int, shared: bool = False) -> socket.socket:
    """A socket that listens on a host and port (0: any free one): from now on whoever comes early waits instead of being turned
    away. shared: beside others of ours on the same port, among which Linux deals out who comes. Raises OSError, OverflowError."""
    listener = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform == "win32":
            # There, reusing an address would let two servers share one port.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if shared and sys.platform == "linux":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        listener.bind((host, port))
        listener.listen(BACKLOG)
    except BaseException:
        listener.close()
        raise
    return listener


def is_shared(listener: socket.socket) -> bool:
    """Whether a socket stands beside others of ours on its port."""
    return sys.platform == "linux" and listener.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT) != 0


def listens(listener: socket.socket) -> bool:
    """Whether a socket is open and still takes connections, as far as its system says."""
    if listener.fileno() == -1:
        return False
    try:
        return listener.getsockopt(socket.SOL_SOCKET, socket.SO_ACCEPTCONN) != 0
    except OSError as wrong:
        return wrong.errno not in CLOSED  # some systems don't answer that question


# EBADF; ENOTSOCK, by its numbers on Linux, macOS and Windows.
CLOSED = frozenset({9, 88, 38, 10038})
