"""A server of static files and an empty page, for tests of the scripts alone."""

import functools
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from app.web.assets import served_bytes

ROWS = "/static/js/rules/rows.js"  # the server writes the rows in
ROOT = Path(__file__).resolve().parents[2]


class _Files(SimpleHTTPRequestHandler):
    """The checkout's files, and an empty page at /."""

    extensions_map = {".js": "text/javascript", ".json": "application/json", ".css": "text/css"}  # noqa: RUF012

    def do_GET(self) -> None:
        if self.path == ROWS:
            self._answer("text/javascript", served_bytes(ROOT / ROWS[1:]))
        elif self.path == "/":
            self._answer("text/html", b"<!doctype html><html lang=en><title>Empty</title></html>")
        else:
            super().do_GET()

    def _answer(self, kind: str, page: bytes) -> None:
        self.send_response(200)
        self.send_header("content-type", kind)
        self.send_header("content-length", str(len(page)))
        self.end_headers()
        self.wfile.write(page)

    def log_message(self, format: str, *args: Any) -> None:
        """Tests are quiet."""


@contextmanager
def serving() -> Iterator[str]:
    """The address of a running server, on a free port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(_Files, directory=str(ROOT)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
