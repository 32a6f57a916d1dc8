"""A tablet's line as bytes: the greeting, and frames made beforehand, so that the server is what is measured."""

import struct

NO_MASK = bytes(4)  # a mask like any other (RFC 6455, 5.3), under which a frame's bytes stay what they are
FRAME_HEAD = 4  # bytes before a message of 126 and more
TEXT, CLOSE = 0x81, 0x88  # the first byte of a whole text frame, and of a goodbye


def greeting(port: int, token: str, host: str = "localhost") -> bytes:
    """The request that opens a lane's line, with what the doors look at."""
    return (
        f"GET /lane/socket HTTP/1.1\r\nHost: {host}:{port}\r\nCookie: ll_device={token}\r\n"
        f"Origin: http://{host}:{port}\r\nSec-Fetch-Site: same-origin\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"
        "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"
    ).encode()


def frame(said: bytes) -> bytes:
    """A text frame from a client."""
    size = len(said)
    long = b"" if size < 126 else struct.pack("!H", size) if size < 1 << 16 else struct.pack("!Q", size)
    head = struct.pack("!BB", TEXT, 0x80 | {0: size, 2: 126, 8: 127}[len(long)]) + long
    return head + NO_MASK + said


def marks_frame(body: bytes, number: int) -> bytes:
    """The frame that says what a request with this body says."""
    return frame(b'{"type":"marks","n":%d,%s' % (number, body[1:]))


def taken(data: bytes) -> tuple[list[bytes], bytes]:
    """The whole messages of a server at the beginning of some bytes, and what is left. Raises ConnectionError at a goodbye."""
    messages = []
    while len(data) >= 2:
        size, at = data[1], 2
        if size >= 126:
            long = 2 if size == 126 else 8
            size, at = int.from_bytes(data[2 : 2 + long]), 2 + long
            if len(data) < at:
                break
        if len(data) < at + size:
            break
        if data[0] == CLOSE:
            raise ConnectionError(data[at + 2 : at + size].decode(errors="replace"))
        if data[0] == TEXT:
            messages.append(data[at : at + size])
        data = data[at + size :]
    return messages, data
