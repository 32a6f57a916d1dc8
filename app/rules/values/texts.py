"""What people may write: names, notes, reasons. One home for what a text may hold, what is cleaned from it, and what is refused.

Cleaned, because it comes along unasked when something is copied: marks that nobody sees (byte order mark, soft hyphen, blanks and
joiners of no width where no script needs them, marks of direction), tabs and line breaks inside a line, letters in two pieces
where Unicode has one (NFC). Refused: what could hide or garble what stands beside it. Every script passes: joiners stay after
letters without case (Arabic, the scripts of India and others), after accents and in emoji.

Characters that the Unicode of this Python does not know pass: a newer Python would take what an older one refused, and a file
must not depend on that. Letters that look like others (a Cyrillic a) pass too: they are somebody's name.
"""

import re
import unicodedata

# Never in any text, wherever it comes from, and so not in a stored one: controls but tab and line feed, half characters
# (surrogates), and the characters that turn the reading direction of what follows (UAX #9; CVE-2021-42574).
BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f"
NEVER = re.compile(f"[\x00-\x08\x0b-\x1f\x7f-\x9f{BIDI}\ud800-\udfff]")
NEVER_IN_A_LINE = re.compile(f"[\x00-\x1f\x7f-\x9f{BIDI}\ud800-\udfff]")

# Taken out: nobody sees them, and two names with and without one look alike. The joiners U+200C and U+200D are not among them.
UNSEEN = re.compile(
    "[\u00ad\u034f\u061c\u180e\u200b\u200e\u200f\u2060-\u2064\u206a-\u206f\u3164\ufeff\uffa0\ufff9-\ufffc\U000e0001]"
)
BLANKS = re.compile("[\t\r\n\x0b\x0c\x85\u2028\u2029]+")
JOINERS = re.compile("[\u200c\u200d]")
# Flags of regions are a black flag spelled out in letters that nobody sees, up to an end (UTS #51); elsewhere these only hide.
TAGS = re.compile("(\U0001f3f4[\U000e0020-\U000e007e]{1,10}\U000e007f)|[\U000e0020-\U000e007f]")

# For private use, or no characters at all (Unicode 15, 23.5 and 23.7): what they look like is anybody's guess.
PLANES = "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000))
NOBODYS = re.compile(f"[\ue000-\uf8ff\ufdd0-\ufdef\U000f0000-\U000ffffd\U00100000-\U0010fffd{PLANES}]")

MOST_STACKED = 8  # signs on one letter; the tallest known stack of a living script is one of Tibetan, with eight
LOOKS_EMPTY = frozenset("\u115f\u1160\u2800\u3164\uffa0")

CONTROL = "a control character"
TURNS = "a control character that turns the reading direction"
HALF = "half a character"
NO_LETTER = "a character that has no meaning of its own (private use, or none at all)"
TOO_TALL = f"more than {MOST_STACKED} signs on one letter"
HIDDEN = "invisible marks"


def cleaned(text: str, lines: bool = False) -> str:
    """A text as it is meant, without what copying brought along and the blanks around it. `lines`: line breaks stay.

    A tower of signs stays as it is, to be refused: bringing a long one into order would take long.
    """
    if not text.isascii():
        text = TAGS.sub(lambda found: found[1] or "", UNSEEN.sub("", text))
        text = JOINERS.sub(lambda found: found[0] if _joins(found.string, found.start()) else "", text)
        text = text if tallest(text) > MOST_STACKED else unicodedata.normalize("NFC", text)
    return (text if lines else BLANKS.sub(" ", text)).strip()


def unfit(text: str, lines: bool = False) -> str:
    """What a text holds that it may not, as words for a sentence (`The name holds …`); empty for a text that is fit.

    `lines`: it may have several. To what a person typed `cleaned` comes first; a file is taken as it is or refused.
    """
    never = (NEVER if lines else NEVER_IN_A_LINE).search(text)
    if never is not None:
        return TURNS if never[0] in BIDI else HALF if never[0] >= "\ud800" else CONTROL
    if text.isascii():
        return ""
    if NOBODYS.search(text):
        return NO_LETTER
    if tallest(text) > MOST_STACKED:
        return TOO_TALL
    loose = any(not _joins(text, found.start()) for found in JOINERS.finditer(text))
    return HIDDEN if loose or UNSEEN.search(text) or any(not found[1] for found in TAGS.finditer(text)) else ""


def is_seen(text: str) -> bool:
    """Whether a text shows anything: not blanks, joiners, accents without a letter and letters that look empty alone."""
    return any(c not in LOOKS_EMPTY and unicodedata.category(c)[0] not in "ZMC" for c in text)


def tallest(text: str) -> int:
    """How many signs (accents, vowel points, variation selectors) stand on the letter that has most."""
    most = run = 0
    for c in text:
        run = run + 1 if unicodedata.category(c) in ("Mn", "Me") else 0
        most = max(most, run)
    return most


def _joins(text: str, at: int) -> bool:
    """Whether a joiner has something to join: what a script or an emoji needs stands before it (after RFC 5892, appendix A)."""
    return at > 0 and unicodedata.category(text[at - 1]) in ("Lo", "Mn", "Mc", "So", "Sk")


def same_name(name: str) -> str:
    """A name for comparing: capitals, blanks, full stops and how Unicode spells a letter (NFKC) do not make two of one."""
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return " ".join(folded.replace(".", " ").split())
