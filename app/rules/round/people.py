"""Who an entry is, held by a salted commitment: name and all else personal can be removed later, and no digest changes by it.

A claim carries the commitment alone. The salt is drawn by chance for each person and kept beside the name; without both nobody
can tell whose a line was, and none of them follows from anything else. What is in the book's folder of people is checked against
the claims; who is not there was removed.
"""

from hashlib import sha256

from pydantic import Field

from app.rules.records.seal import Digest, canonical
from app.rules.values.shapes import Base, Key, Line, Name


class Person(Base):
    """An entry's name and what else is personal, with the salt that hides it (32 bytes as hex digits)."""

    entry: int = Field(ge=1)
    name: Name
    more: dict[Key, Line] = Field(default_factory=dict, max_length=20)
    salt: Digest


def commitment(person: Person) -> str:
    """The commitment to a person, 64 hex digits: SHA-256 of the salt and of what is said, as canonical JSON."""
    return sha256(bytes.fromhex(person.salt) + canonical([person.entry, person.name, person.more])).hexdigest()
