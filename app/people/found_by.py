"""How a name is compared with what somebody types to find it: accents and case don't matter, nor how a letter's sign is typed."""

import re
import unicodedata

# Letters that no sign comes off, and how they are typed without them.
PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h", "ŧ": "t"}
)
AS_TWO = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})


def folded(text: str) -> str:
    """A text for finding: no accents, no capitals, nothing but words, each after one space."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(PLAIN_LETTERS))
    bare = "".join(one for one in plain if not unicodedata.combining(one))
    return "".join(f" {word}" for word in re.findall(r"\w+", bare))


def found_by(*names: str) -> str:
    """What something with these names is found by; a letter with a sign may be typed as two (Mueller)."""
    whole = unicodedata.normalize("NFC", " ".join(names)).casefold()
    other = whole.translate(AS_TWO)
    return folded(whole) + (folded(other) if other != whole else "")
