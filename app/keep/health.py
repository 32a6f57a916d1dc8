"""How this server process is: whether its store answers, and whether it hears what other processes do."""

import asyncio
from dataclasses import dataclass

from app.hall.hall import Hall
from app.store.news import newest
from app.store.writer import StoreTrouble

PATIENCE_S = 3.0


@dataclass(frozen=True, slots=True)
class Health:
    """stores: the store answers, is certain to take what is written, and its marks are as they were written. It is not certain
    while the disk that ran full has little space still, though what is small may be taken.

    hears: nothing that another process does is missed; true where there is none."""

    stores: bool
    hears: bool

    @property
    def well(self) -> bool:
        """Whether requests are best sent here."""
        return self.stores and self.hears

    def plain(self) -> dict[str, bool]:
        """The same as JSON."""
        return {"well": self.well, "stores": self.stores, "hears": self.hears}


async def health(hall: Hall) -> Health:
    """Asks the store, and waits for it no longer than a few seconds."""
    try:
        async with asyncio.timeout(PATIENCE_S):
            await hall.database.aread(newest)
        stores = not (hall.database.short_of_space or hall.database.trouble or hall.database.damaged)
    except (StoreTrouble, TimeoutError):
        stores = False
    return Health(stores, not hall.relay.deaf)
