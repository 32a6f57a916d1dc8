"""The digest of a hand-in as letters, short enough to be read out on a telephone or typed.

Twenty-eight letters tell the first 128 bits of the SHA-256, and four more whether one of those was misheard. By 128 bits a gym
would have to try 2^64 files to find two of one digest. A hand-in that was promised so is known at headquarters by those bits with
zeros behind.
"""

from collections.abc import Collection
from hashlib import sha256

from app.rules.round.words import LETTERS, as_word, shown, word_of

HEX_DIGITS = 64  # of a whole digest
TOLD_DIGITS = 32  # of these, by which a short one knows it
TOLD_LETTERS, CHECK_LETTERS = 28, 4
NOT_A_DIGEST = "A digest is 64 digits and letters from a to f, or eight groups of four letters."
MISHEARD = "One of these letters is another: the last group does not fit the rest. Have them read out once more."


class NotADigest(ValueError):
    """Raised for what was typed as a digest and is none; its text is the sentence to show."""


def short_digest(digest: str) -> str:
    """A digest (64 hex digits) in eight groups of four letters."""
    letters = word_of(int(digest[:TOLD_DIGITS], 16), TOLD_LETTERS)
    return shown(letters + _check(letters))


def read_digest(typed: str) -> str:
    """A digest as somebody typed it, whole or short, as 64 hex digits: of a short one the first half, and zeros. Raises
    NotADigest."""
    whole = "".join(typed.split()).lower()
    if len(whole) == HEX_DIGITS and not set(whole) - set("0123456789abcdef"):
        return whole
    letters = as_word(typed)
    if len(letters) != TOLD_LETTERS + CHECK_LETTERS or set(letters) - set(LETTERS):
        raise NotADigest(NOT_A_DIGEST)
    told = letters[:TOLD_LETTERS]
    number = sum(LETTERS.index(letter) * len(LETTERS) ** place for place, letter in enumerate(told))
    if letters[TOLD_LETTERS:] != _check(told) or number >= 16**TOLD_DIGITS:
        raise NotADigest(MISHEARD)
    return _beginning(f"{number:0{TOLD_DIGITS}x}")


def is_digest_of(digest: str, whole: str) -> bool:
    """Whether a digest, whole or short (as read_digest gives it), is that of a file with this SHA-256."""
    return digest in (whole, _beginning(whole))


def known_as(digest: str, known: Collection[str]) -> str:
    """By what the hand-in of a digest, whole or short, is known among others; the digest itself where it is not."""
    if digest in known:
        return digest
    if digest == _beginning(digest):
        return next((one for one in known if _beginning(one) == digest), digest)
    return _beginning(digest) if _beginning(digest) in known else digest


def _beginning(digest: str) -> str:
    return digest[:TOLD_DIGITS].ljust(HEX_DIGITS, "0")


def _check(letters: str) -> str:
    return word_of(int.from_bytes(sha256(letters.encode()).digest(), "big"), CHECK_LETTERS)
