"""What headquarters publishes of a round, on the command line: once, or again and again while the round goes on."""

import time
from collections.abc import Callable
from pathlib import Path

from app.files import BEHIND, keep_writing, look_for_store, open_database, write_in_folder
from app.results.published_folder import PublishedFolder
from app.round.checking import chain_head
from app.round.headquarters import Headquarters
from app.round.heads import head_files, publish_heads
from app.round.published_pages import standing_pages
from app.rounds import headquarters_in, refuse_without_round
from app.rules.values.words import say
from app.settings import Settings


def heads_of(settings: Settings, folder: Path) -> str:
    """Writes what is new of a round's heads into a folder, and says so. Raises FileRefused, NotOurs, NotContinued."""
    with headquarters_in(settings, "Publish the heads of a round", folder.name) as (headquarters, _):
        refuse_without_round(headquarters)
        receipts = headquarters.receipts()
        files = head_files(headquarters.state, receipts) | standing_pages(headquarters.state)
        new = publish_heads(PublishedFolder(folder, write_in_folder), files)
    told = f"Written anew in {folder}: {', '.join(new)}." if new else f"Nothing is new in {folder}."
    return f"{told}\nHead of {say('receipts', n=len(receipts))}: {chain_head(receipts)}"


def keep_heads(
    settings: Settings,
    folder: Path,
    every_s: int,
    tell: Callable[[str], None] = print,
    wait: Callable[[float], None] = time.sleep,
    behind: int = BEHIND,
) -> None:
    """The same so often, until it is stopped. Raises FileRefused, NotOurs, NotContinued."""
    look_for_store(settings)
    published, seen = PublishedFolder(folder, write_in_folder), list[tuple[int, int]]()
    with open_database(settings) as database:
        headquarters = Headquarters(database, settings.data)
        refuse_without_round(headquarters)

        def write() -> str:
            headquarters.catch_up()
            now = (len(headquarters.records), headquarters.receipts_given())
            if seen == [now]:
                return ""
            files = head_files(headquarters.state, headquarters.receipts()) | standing_pages(headquarters.state)
            new = publish_heads(published, files)
            seen[:] = [now]
            return f"{len(new)} of {len(files)} files written anew in {folder}." if new else ""

        keep_writing(write, every_s, tell, wait, behind)
