"""Keys and signatures (Ed25519) in the laptop's Python: made once, for the owner alone; no backup and no file holds a key."""

from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from app.round.room_files import alone_in_room, keep_in_room
from app.rules.round.kit import BadKit, Kind, Signature, signed_file, to_sign
from app.store.rounds import ROOM

HEADQUARTERS_KEY, GYM_KEY = "headquarters.key", "gym.key"


class SigningKey:
    """A private key, with its public half as hex digits."""

    def __init__(self, private: bytes) -> None:
        self._key = Ed25519PrivateKey.from_private_bytes(private)
        self.private = private
        self.public = self._key.public_key().public_bytes_raw().hex()

    def sign(self, kind: Kind, says: bytes) -> bytes:
        """A signed file of a kind that says this."""
        return signed_file(Signature(kind=kind, key=self.public, signature=self._key.sign(to_sign(kind, says)).hex()), says)


def key_in(data: Path, name: str, make: bool) -> SigningKey:
    """The key of that name in a data folder; where there is none it is made, or (not `make`) refused. Raises BadKit."""
    file = data / ROOM / name
    if make:
        with alone_in_room(data):
            if not file.exists():
                keep_in_room(data, name, Ed25519PrivateKey.generate().private_bytes_raw().hex().encode())
    try:
        return SigningKey(bytes.fromhex(file.read_text(encoding="ascii")))
    except FileNotFoundError:
        raise BadKit("There is no key in this data folder. It is in the one that the kit was made or opened in.") from None
    except (OSError, ValueError):
        raise BadKit(f"The key {name} in the data folder can't be read.") from None
