"""Answers in the hall's network to our .local name (multicast DNS, RFC 6762), so that tablets find the laptop at any address.

Where multicast does not work, everything else does: tablets then use the address.
"""

import asyncio
import ipaddress
import logging
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from app.lan.names import OUR_NAMES

if TYPE_CHECKING:
    from zeroconf import ServiceInfo
    from zeroconf.asyncio import AsyncZeroconf

log = logging.getLogger(__name__)

SERVICE = "_http._tcp.local."
ASK_MS = 900  # how long another laptop has to answer to a name before we take it


class Announcer:
    """Holds one .local name in the network for as long as it is open. Whatever fails is logged, and nothing else happens."""

    def __init__(self, name: str = "") -> None:
        self.name = ""  # the name that is answered to; empty while there is none
        self._wanted = [name] if name else list(OUR_NAMES)
        self._line: AsyncZeroconf | None = None
        self._info: ServiceInfo | None = None

    async def open(self, addresses: Sequence[str], port: int, start_at: str = "") -> None:
        """Takes the first free name, beginning with the one it had before."""
        try:
            # Loaded beside the first requests, not before them: it takes a twentieth of a second.
            asyncio_part = await asyncio.to_thread(_library)
            self._line = asyncio_part()
            names = sorted(self._wanted, key=lambda name: name != start_at)
            for name in names:
                if not await self._taken(name, addresses):
                    await self._take(name, addresses, port)
                    return
        except Exception as wrong:
            log.warning("The .local name can't be announced: %s", wrong)

    async def move(self, addresses: Sequence[str]) -> None:
        """The laptop has other addresses now."""
        if self._line is None or self._info is None:
            return
        try:
            self._info.addresses = _packed(addresses)
            await self._line.async_update_service(self._info)
        except Exception as wrong:
            log.warning("The new address can't be announced: %s", wrong)

    async def close(self) -> None:
        """Gives the name back."""
        if self._line is None:
            return
        try:
            await asyncio.wait_for(self._line.async_unregister_all_services(), 1)
            await self._line.async_close()
        except Exception as wrong:  # the network went first
            log.info("The .local name was not given back: %s", wrong)

    async def _taken(self, name: str, ours: Sequence[str]) -> bool:
        """Whether another machine answers to a name."""
        # In its documentation, though not in its list of exports.
        from zeroconf import AddressResolver  # type: ignore[attr-defined]  # see Announcer.open

        assert self._line is not None
        asked = AddressResolver(f"{name}.")
        if not await asked.async_request(self._line.zeroconf, ASK_MS):
            return False
        return any(address not in ours for address in asked.parsed_addresses())

    async def _take(self, name: str, addresses: Sequence[str], port: int) -> None:
        from zeroconf import ServiceInfo  # see open

        assert self._line is not None
        label = name.removesuffix(".local")
        self._info = ServiceInfo(
            SERVICE, f"Lane Ledger ({label}).{SERVICE}", addresses=_packed(addresses), port=port, server=f"{name}."
        )
        await self._line.async_register_service(self._info, allow_name_change=True)
        self.name = name


def _library() -> "Callable[[], AsyncZeroconf]":
    from zeroconf.asyncio import AsyncZeroconf  # see Announcer.open

    return AsyncZeroconf


def _packed(addresses: Sequence[str]) -> list[bytes]:
    return [ipaddress.ip_address(one).packed for one in addresses]
