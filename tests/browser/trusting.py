"""A hall with HTTPS, and browsers that have our certificate in their own store, put there as a person would put it."""

import os
import shutil
import socket
import ssl
import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserType

from app.checks import find_quick_browser
from app.lan.addresses import lan_addresses
from app.rehearsal.serving import free_port
from app.rules.records.document import CompetitionFile
from tests.browser.server_process import ServerProcess, a_process
from tests.conftest import CHROMIUM_FLAGS

NO_CERTUTIL = "certutil is missing, which puts a certificate into Chromium's store: sudo apt install libnss3-tools"

needs_trust = pytest.mark.skipif(shutil.which("certutil") is None or not lan_addresses(), reason=NO_CERTUTIL + ", and a network")


class SecureHall:
    """A server with both doors, as the hall reaches it: by its LAN address, where a plain page is trusted with nothing."""

    def __init__(self, server: ServerProcess, folder: Path, https_port: int) -> None:
        self.server = server
        self.folder = folder
        self.laptop = server.url
        self.host = lan_addresses()[0]
        self.http_port, self.https_port = int(server.url.rpartition(":")[2]), https_port
        self.plain = f"http://{self.host}:{self.http_port}"
        self.secure = f"https://{self.host}:{https_port}"

    @property
    def authority(self) -> Path:
        """The authority's certificate."""
        return self.folder / "certificates" / "01" / "authority.crt"


@contextmanager
def a_secure_hall(folder: Path, file: CompetitionFile) -> Iterator[SecureHall]:
    """A started server with both doors over a competition."""
    https_port = free_port("")
    flags = ("--https-port", str(https_port), "--name", lan_addresses()[0])
    with a_process(folder, file, flags=flags) as server:
        yield SecureHall(server, folder, https_port)


@contextmanager
def a_trusting_browser(
    chromium: BrowserType, home: Path, authorities: Sequence[Path], flags: Sequence[str] = ()
) -> Iterator[Browser]:
    """Chromium at the home of somebody who has imported these certificates, with the tick for web sites.

    The one without a window reads the same store there, and holds what it is shown against it in the same way.
    """
    store = f"sql:{home}/.pki/nssdb"
    (home / ".pki/nssdb").mkdir(parents=True, exist_ok=True)
    certutil("-d", store, "-N", "--empty-password")
    for number, authority in enumerate(authorities):
        certutil("-d", store, "-A", "-t", "C,,", "-n", f"ours {number}", "-i", str(authority))
    browser = chromium.launch(executable_path=find_quick_browser(), args=[*CHROMIUM_FLAGS, *flags], env={**at_home(home)})
    try:
        yield browser
    finally:
        browser.close()


def at_home(home: Path) -> dict[str, str]:
    """The environment of a browser at somebody's home: what looks for a sound server leaves nothing elsewhere."""
    return {**os.environ, "HOME": str(home), "PULSE_RUNTIME_PATH": str(home / "pulse")}


def certutil(*arguments: str) -> None:
    """Runs certutil; what it says is told only when it fails."""
    done = subprocess.run(["certutil", *arguments], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@contextmanager
def a_site(certificate: Path, port: int = 0) -> Iterator[int]:
    """Some web site with a certificate file; gives its port."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate)
    site = _Site(("127.0.0.1", port), _Hello)
    site.socket = context.wrap_socket(site.socket, server_side=True, do_handshake_on_connect=False)
    thread = threading.Thread(target=site.serve_forever, daemon=True)
    thread.start()
    try:
        yield int(site.server_address[1])
    finally:
        site.shutdown()
        site.server_close()
        thread.join(5)


@contextmanager
def a_black_hole(*ports: int) -> Iterator[None]:
    """Ports that take connections and never say a word, as a network does that loses what is sent."""
    holes = []
    for port in ports:
        hole = socket.socket()
        hole.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        hole.bind(("0.0.0.0", port))
        hole.listen(64)
        holes.append(hole)
    try:
        yield
    finally:
        for hole in holes:
            hole.close()


class _Site(ThreadingHTTPServer):
    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that hangs up at the certificate is what these tests are about."""


class _Hello(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Length", "5")
        self.end_headers()
        self.wfile.write(b"hello")

    def log_message(self, format: str, *args: object) -> None:
        """Quiet."""
