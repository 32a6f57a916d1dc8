"""The secure door of the server: its certificate, its fixed name, and how both follow the laptop from network to network."""

import asyncio
import logging
import ssl
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from app.lan.addresses import certain_addresses, lan_addresses
from app.lan.announce import Announcer
from app.lan.certificates import About, Certificates
from app.lan.names import OUR_NAMES

log = logging.getLogger(__name__)

LOOK_S = 5.0  # how often to look whether the laptop has another address


class Secure:
    """HTTPS of one server. `name` is the host that tablets keep for the whole event: a name, or an address if that was chosen."""

    def __init__(self, folder: Path, days: int, name: str, http_port: int, https_port: int) -> None:
        self.http_port, self.https_port = http_port, https_port
        self._certificates = Certificates(folder, datetime.now(UTC), days, name)
        self._certificates.cover(certain_addresses())
        self._kept_name = folder / "name"
        self._fixed = name
        self.name = name or _read_name(self._kept_name)
        self.context = _context(self._certificates.server_file)
        self.authority_der = self._certificates.authority_der()

    @property
    def about(self) -> About:
        """The authority and what the server's certificate covers now."""
        return self._certificates.about

    @property
    def trouble(self) -> str:
        """A sentence when this computer's clock can't be right, else empty."""
        return self._certificates.trouble

    def covers(self, host: str) -> bool:
        """Whether the certificate is good for a host, IPv6 with or without brackets."""
        bare = host.strip("[]")
        return bare in self.about.names or bare in self.about.addresses

    def origin(self, host: str) -> str:
        """The secure address of a host."""
        return f"https://{host}:{self.https_port}"

    def follow(self, addresses: Sequence[str]) -> bool:
        """Makes and uses a new certificate if the laptop has an address that the present one lacks; open connections go on."""
        if not self._certificates.cover(addresses):
            return False
        self.context.load_cert_chain(self._certificates.server_file)
        return True

    async def watch(self) -> None:
        """Announces the name and follows the laptop's addresses, until cancelled. Nothing here can stop the server."""
        announcer = None if self._fixed and not self._fixed.endswith(".local") else Announcer(self._fixed)
        known = await asyncio.to_thread(lan_addresses)
        try:
            if announcer is not None:
                await announcer.open(known, self.http_port, self.name)
                self._keep_name(announcer.name)
            while True:
                await asyncio.sleep(LOOK_S)
                known = await self._look(known, announcer)
        finally:
            if announcer is not None:
                await announcer.close()

    async def follow_files(self) -> None:
        """Uses what another process of this server makes of the certificate and the name, until cancelled."""
        known = 0.0
        while True:
            try:
                made = self._certificates.server_file.stat().st_mtime
                if known and made != known:
                    self._certificates.read_again()
                    self.context.load_cert_chain(self._certificates.server_file)
                known = made
                self.name = self._fixed or _read_name(self._kept_name)
            except Exception:
                log.exception("The new certificate could not be read. It is tried again.")
            await asyncio.sleep(LOOK_S)

    async def _look(self, known: list[str], announcer: Announcer | None) -> list[str]:
        try:
            now = await asyncio.to_thread(lan_addresses)
            if now == known:
                return known
            await asyncio.to_thread(lambda: self.follow(certain_addresses()))
            if announcer is not None:
                await announcer.move(now)
        except Exception:
            log.exception("This computer's addresses changed, and the certificate could not follow. It is tried again.")
            return known
        return now

    def _keep_name(self, announced: str) -> None:
        """A name that tablets have paired with must be the same at the next start, even if a lower one is free by then."""
        if announced and not self._fixed:
            self.name = announced
            self._kept_name.write_text(announced, encoding="ascii")


def _read_name(file: Path) -> str:
    try:
        kept = file.read_text("ascii").strip()
    except (OSError, ValueError):
        return OUR_NAMES[0]
    return kept if kept in OUR_NAMES else OUR_NAMES[0]


def _context(server_file: Path) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_alpn_protocols(["http/1.1"])
    context.load_cert_chain(server_file)
    return context
