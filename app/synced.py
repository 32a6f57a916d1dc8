"""A data folder inside a folder that a program keeps the same on several computers, and a better place for it.

Such a program copies the store's file and its log each at a moment of its own, and holds them open meanwhile: the copy is no
store, writes wait, and what comes back from another computer replaces what is here.
"""

import os
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

# How such folders are called where their programs put them, in lower case; what follows the name is the account's.
CALLED = (
    *("onedrive", "dropbox", "google drive", "googledrive", "icloud drive", "icloud~", "mobile documents", "cloudstorage"),
    *("nextcloud", "owncloud", "pcloud", "megasync", "box sync", "syncthing", "creative cloud files"),
)
# What they leave in the folder that they keep.
SIGNS = (".dropbox", ".dropbox.cache", ".stfolder", ".nextcloudsync.log", ".owncloudsync.log", ".sync_folder")
NAMED_IN = ("OneDrive", "OneDriveConsumer", "OneDriveCommercial")  # variables of Windows
OF_ICLOUD = "Library/Mobile Documents/com~apple~CloudDocs"  # holds links to Desktop and Documents where these are kept there
BETTER = "lane-ledger-data"


def synced_by(folder: Path, home: Path, variables: Mapping[str, str] = os.environ) -> Path | None:
    """The folder that is kept the same elsewhere and holds `folder`; None where no sign of one is seen."""
    whole = folder.absolute()
    named = {Path(variables[name]) for name in NAMED_IN if variables.get(name)}
    taken = {home / one for one in ("Desktop", "Documents") if (home / OF_ICLOUD / one).exists()}
    for above in (whole, *whole.parents):
        if above.name.lower().startswith(CALLED) or above in named | taken or any((above / sign).exists() for sign in SIGNS):
            return above
    return None


@lru_cache(maxsize=8)
def sync_trouble(folder: Path) -> str:
    """`trouble_of` here and now, looked for once: the desk's page asks every few seconds."""
    return trouble_of(folder, Path.home())


def trouble_of(folder: Path, home: Path, variables: Mapping[str, str] = os.environ) -> str:
    """The sentence about a data folder that is kept the same elsewhere, with a better place; empty where nothing looks so."""
    above = synced_by(folder, home, variables)
    if above is None:
        return ""
    better = home / BETTER
    where = str(better) if synced_by(better, home, variables) is None else "this computer's own disk"
    return (
        f"The data folder is inside {above}, which looks like a folder that is copied to other computers. What copies it can "
        f"hold the store up or put an old one in its place. Stop the server, move the folder to {where} and name that by --data."
    )
