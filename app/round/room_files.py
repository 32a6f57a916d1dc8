"""Writing what a round keeps as files beside the store: keys, kits, hand-ins, receipts, notes."""

from pathlib import Path

from app.lan.certificate import write_secret
from app.rules.round.kit import BadKit
from app.store.whose import make_private_folder


def keep_in_room(file: Path, content: bytes) -> None:
    """Keeps a file in the folder of the round, whole or not at all, for its owner alone. Raises BadKit."""
    try:
        make_private_folder(file.parent)
        write_secret(file, content)
    except OSError as wrong:
        raise BadKit(f"The folder of the round can’t be written: {wrong.strerror}.") from None
