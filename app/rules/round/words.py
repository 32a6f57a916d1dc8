"""The opening word of a round, and the film word of each entry, which nobody can know before the opening and a gym makes offline.

The film word is shown to the camera first and last: so the film is later than the opening. It says nothing of who lifted.
"""

import hmac

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which are taken for digits on a film
OPENING_LETTERS = 12  # of the opening word: 55 bits, so that it is not guessed before it is out
MOST_LETTERS = 20


def word_of(number: int, letters: int) -> str:
    """So many letters made of a number, its last digits in base 24 first."""
    found = []
    for _ in range(letters):
        number, digit = divmod(number, len(LETTERS))
        found.append(LETTERS[digit])
    return "".join(found)


def film_word(opening: str, entry: int, letters: int) -> str:
    """The film word of an entry: HMAC-SHA-256 of its number in decimal digits, by the opening word, as so many letters."""
    return word_of(int.from_bytes(hmac.digest(opening.encode(), str(entry).encode(), "sha256"), "big"), letters)


def as_word(typed: str) -> str:
    """A word as somebody typed it: its letters as capitals, without blanks and hyphens."""
    return "".join(one for one in typed.upper() if one not in " -\t\n")


def shown(word: str) -> str:
    """A word in groups of four, to be read out."""
    return "-".join(word[at : at + 4] for at in range(0, len(word), 4))
