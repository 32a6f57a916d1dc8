"""How a name is compared with what somebody types to find it: accents and case don't matter, nor how a letter's sign is typed."""

import unicodedata

from app.rules.values.alphabet import folded

AS_TWO = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})


def found_by(*names: str) -> str:
    """What something with these names is found by; a letter with a sign may be typed as two (Mueller)."""
    whole = unicodedata.normalize("NFC", " ".join(names)).casefold()
    other = whole.translate(AS_TWO)
    return folded(whole) + (folded(other) if other != whole else "")
