"""Requests that no browser makes, byte by byte against the real server: each is refused or does no harm, and none breaks it.

The rules behind them: RFC 9112 (HTTP/1.1: 2.2 bare CR, 3.2 targets, 5.1 space before the colon, 5.2 obs-fold, 6.1 and 6.3
length and encoding, 7.1 chunks, 11 splitting and smuggling), RFC 9110 (9 methods), RFC 3986 (dot segments, percent-encoding).
"""

import itertools
from collections.abc import Iterator
from contextlib import suppress

import pytest

from tests.faults.crowded import Hall, a_crowded_hall, a_line, address, asked, get, hang_up

H = b"Host: localhost\r\n"
SECRET = b"[project]"  # of pyproject.toml, which lies beside the static tree
SMUGGLED = b"GET /trust/yes HTTP/1.1\r\nHost: localhost\r\n\r\n"
RESTS_S = 0.3
BYE = "Connection: close\r\n"
YES = b'"lane_ledger":true'


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    with a_crowded_hall(tmp_path_factory.mktemp("odd") / "data") as opened:
        yield opened


@pytest.fixture(autouse=True)
def _hang_up() -> Iterator[None]:
    yield
    hang_up()


_asked = itertools.count()


def said(hall: Hall, request: bytes) -> bytes:
    """All that comes back for some bytes before the line ends, or rests after an answer."""
    line = a_line(hall.port, address(next(_asked)))
    answer = b""
    with suppress(OSError):
        line.sendall(request)
        while more := line.recv(65536):
            answer += more
            line.settimeout(RESTS_S)
    return answer


def post(headers: bytes, body: bytes = b"") -> bytes:
    return b"POST /pair HTTP/1.1\r\n" + H + headers + b"\r\n" + body


REFUSED = {
    "length and encoding": post(b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n", b"0\r\n\r\n" + SMUGGLED),
    "encoding and length": post(b"Transfer-Encoding: chunked\r\nContent-Length: 4\r\n", b"0\r\n\r\n" + SMUGGLED),
    "two lengths": post(b"Content-Length: 0\r\nContent-Length: 45\r\n", SMUGGLED),
    "two lengths in one": post(b"Content-Length: 0, 45\r\n", SMUGGLED),
    "the same length twice": post(b"Content-Length: 0\r\nContent-Length: 0\r\n", SMUGGLED),
    "a negative length": post(b"Content-Length: -1\r\n", SMUGGLED),
    "a length with a sign": post(b"Content-Length: +0\r\n", SMUGGLED),
    "a length in hex": post(b"Content-Length: 0x10\r\n", SMUGGLED),
    "a length past all numbers": post(b"Content-Length: 99999999999999999999999\r\n", SMUGGLED),
    "an encoding that is none": post(b"Transfer-Encoding: chonked\r\n", b"0\r\n\r\n" + SMUGGLED),
    "an encoding behind a tab": post(b"Transfer-Encoding:\tchunked\r\nContent-Length: 5\r\n", b"0\r\n\r\n" + SMUGGLED),
    "chunked and then not": post(b"Transfer-Encoding: chunked, identity\r\n", b"0\r\n\r\n" + SMUGGLED),
    "a chunk size that is none": post(b"Transfer-Encoding: chunked\r\n", b"zz\r\n" + SMUGGLED),
    "a chunk size past all numbers": post(b"Transfer-Encoding: chunked\r\n", b"fffffffffffffffff\r\n" + SMUGGLED),
    "a negative chunk": post(b"Transfer-Encoding: chunked\r\n", b"-1\r\n" + SMUGGLED),
    "a chunk longer than it says": post(b"Transfer-Encoding: chunked\r\n", b"1\r\nabc\r\n0\r\n\r\n" + SMUGGLED),
    "a folded header": b"GET /board HTTP/1.1\r\n" + H + b"X-A: b\r\n c: d\r\n\r\n",
    "NUL in a header": b"GET /board HTTP/1.1\r\n" + H + b"X-A: b\0c\r\n\r\n",
    "CR alone in a header": b"GET /board HTTP/1.1\r\n" + H + b"X-A: b\rX-B: c\r\n\r\n",
    "a space before the colon": b"GET /board HTTP/1.1\r\n" + H + b"Content-Length : 3\r\n\r\nabc",
    "a space before the first header": b"GET /board HTTP/1.1\r\n X: y\r\n" + H + b"\r\n",
    "a header without a name": b"GET /board HTTP/1.1\r\n" + H + b": x\r\n\r\n",
    "no host": b"GET /board HTTP/1.1\r\n\r\n",
    "two hosts": b"GET /board HTTP/1.1\r\n" + H + b"Host: evil.example\r\n\r\n",
    "another host": b"GET /board HTTP/1.1\r\nHost: evil.example\r\n\r\n",
    "a whole address of another host": b"GET http://evil.example/board HTTP/1.1\r\n" + H + b"\r\n",
    "a whole address, and another in the header": b"GET http://localhost/board HTTP/1.1\r\nHost: evil.example\r\n\r\n",
    "an address of another kind": b"GET file:///etc/passwd HTTP/1.1\r\n" + H + b"\r\n",
    "a proxy's request": b"CONNECT evil.example:443 HTTP/1.1\r\nHost: evil.example:443\r\n\r\n",
    "a target without a slash": b"GET board HTTP/1.1\r\n" + H + b"\r\n",
    "a star": b"GET * HTTP/1.1\r\n" + H + b"\r\n",
    "bytes beyond ASCII in a target": b"GET /bo\xc3\xa4rd HTTP/1.1\r\n" + H + b"\r\n",
    "NUL in a target": b"GET /bo\0ard HTTP/1.1\r\n" + H + b"\r\n",
    "a space in a target": b"GET /bo ard HTTP/1.1\r\n" + H + b"\r\n",
    "a long target": b"GET /" + b"a" * 9000 + b" HTTP/1.1\r\n" + H + b"\r\n",
    "many headers": b"GET /board HTTP/1.1\r\n" + H + b"".join(b"X-%d: a\r\n" % n for n in range(101)) + b"\r\n",
    "long headers": b"GET /board HTTP/1.1\r\n" + H + b"X: " + b"a" * 70_000 + b"\r\n\r\n",
    "TRACE": b"TRACE /board HTTP/1.1\r\n" + H + b"X-Secret: s3\r\n\r\n",
    "a method that is none": b"GRAB /board HTTP/1.1\r\n" + H + b"\r\n",
    "a method in lower case": b"get /board HTTP/1.1\r\n" + H + b"\r\n",
    "DELETE": b"DELETE /board HTTP/1.1\r\n" + H + b"\r\n",
    "PUT": b"PUT /static/0/css/lane.css HTTP/1.1\r\n" + H + b"Content-Length: 1\r\n\r\na",
    "the version of tomorrow": b"GET /board HTTP/9.9\r\n" + H + b"\r\n",
    "the second version": b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "no version": b"GET /board\r\n\r\n",
    "many at once": SMUGGLED * 60,
    "a socket without a key": b"GET /lane/socket HTTP/1.1\r\n" + H + b"Connection: Upgrade\r\nUpgrade: websocket\r\n\r\n",
    "a socket from another site": (
        b"GET /lane/socket HTTP/1.1\r\n" + H + b"Origin: http://evil.example\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"
        b"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
    ),
    "noise": bytes(range(128, 256)) * 4 + b"\r\n\r\n",
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_no_browser_sends_is_refused_and_smuggles_nothing(hall: Hall, what: str) -> None:
    answer = said(hall, REFUSED[what])
    assert answer.startswith(b"HTTP/1.1 4"), answer[:200]
    if what != "many at once":
        assert answer.count(b"HTTP/1.1 ") == 1 and YES not in answer, "one request, one answer"
    assert b"s3" not in answer and b"Traceback" not in answer
    assert asked(a_line(hall.port, "127.6.1.2"), get("/trust/yes", hall.port))[0] == 200


STATIC = "/static/0/"
PATHS = (
    *("../pyproject.toml", "%2e%2e/pyproject.toml", "..%2fpyproject.toml", "%2e%2e%2fpyproject.toml", "..%5cpyproject.toml"),
    *("..\\pyproject.toml", "....//pyproject.toml", "css/../../pyproject.toml", "css/%2e%2e/%2e%2e/pyproject.toml"),
    *(
        "%252e%252e/pyproject.toml",
        "..;/pyproject.toml",
        "/etc/passwd",
        "//etc/passwd",
        "%2fetc%2fpasswd",
        "css/floor/lane.css%00.js",
    ),
    *(
        "css/floor/lane.css/",
        "css/floor/lane.css\\",
        "css",
        "css/",
        "",
        "%00",
        "%",
        "%zz",
        "con",
        "nul.css",
        "css/floor/lane.css::$DATA",
        "." * 5000,
    ),
    *("%c0%ae%c0%ae/pyproject.toml", "%ff%fe", "%e2%80%ae.css", "a/" * 2000),
)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path[:30])
def test_no_path_leads_out_of_the_static_tree(hall: Hall, path: str) -> None:
    answer = said(hall, get(f"{STATIC}{path}", hall.port, BYE))
    assert answer.startswith((b"HTTP/1.1 404", b"HTTP/1.1 400", b"HTTP/1.1 414")), answer[:200]
    assert SECRET not in answer and b"root:" not in answer


@pytest.mark.parametrize(
    "path",
    [
        "//board",
        "/board//",
        "/./board",
        "/desk/../board",
        "/%2e%2e/desk",
        "/desk%2f",
        "/desk%00",
        "/DESK",
        "/desk;x=1",
        "/desk\\",
        "/;/desk",
    ],
)
def test_no_odd_path_leads_to_the_desk(hall: Hall, path: str) -> None:
    answer = said(hall, get(path, hall.port, f"Accept: text/html\r\n{BYE}"))
    assert answer.startswith((b"HTTP/1.1 404", b"HTTP/1.1 400", b"HTTP/1.1 303", b"HTTP/1.1 307")), answer[:200]
    assert b"\r\nlocation: //" not in answer.lower() and b"location: http://evil" not in answer.lower()


HARMLESS = {
    "an upgrade to the second version": b"GET /trust/yes HTTP/1.1\r\n" + H + b"Connection: Upgrade, HTTP2-Settings\r\n"
    b"Upgrade: h2c\r\nHTTP2-Settings: AAMAAABkAARAAAAAAAIAAAAA\r\n\r\n",
    "an old version": b"GET /trust/yes HTTP/1.0\r\n" + H + b"\r\n",
    "a whole address of ours": b"GET http://localhost/trust/yes HTTP/1.1\r\n" + H + b"\r\n",
    "a method in a header": b"GET /trust/yes HTTP/1.1\r\n" + H + b"X-HTTP-Method-Override: DELETE\r\n\r\n",
    "claims about who asks": b"GET /trust/yes HTTP/1.1\r\n" + H + b"X-Forwarded-For: 127.0.0.1\r\nForwarded: for=127.0.0.1\r\n"
    b"X-Forwarded-Host: evil.example\r\nX-Original-URL: /desk\r\n\r\n",
    "chunks": post(b"Transfer-Encoding: chunked\r\nContent-Type: application/json\r\n", b"2\r\n{}\r\n0\r\n\r\n") + SMUGGLED,
}


@pytest.mark.parametrize("what", HARMLESS)
def test_what_is_odd_and_allowed_is_answered_as_if_it_were_not(hall: Hall, what: str) -> None:
    answer = said(hall, HARMLESS[what])
    assert YES in answer and b"evil.example" not in answer and b"HTTP/1.1 101" not in answer
