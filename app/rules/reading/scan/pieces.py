"""A line taken apart into letters, numbers, clock times and signs, each with the span of the text that it came from."""

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

PIECE = re.compile(
    r"(?P<thousands>[1-9]\d{0,2},\d{3}(?![\d.,])|[1-9]\d{0,2}\.\d{3}(?=\s?m(?:et|\b)))|(?P<primed>\d{1,2}['’′][0-5]\d(?!\d)(?:[\"”″]|''|’’)?)"
    r"|(?P<scheme>\d{1,3}(?:,\d{1,2}){2,}(?!\d))|(?P<clock>\d{1,3}:[0-5]\d(?!\d)|(?<![\w:)]):[0-5]\d(?![\d:]))|(?P<number>\d{1,6}(?:[.,]\d{1,2})?(?![\d]|[.,]\d))|(?P<letters>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<note>“[^“”]{1,200}”)|(?P<ellipsis>\.{2,}|…)|(?P<sign>\S)"
)
WORDS = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")
NTH = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth")
MINUTES_SECONDS = re.compile(r"\d+")
# Words that no table of the trade has.
BLIND = ("WORD", "PROSE", "CHAT", "WEIGHTY", "DECIDES")
OWN_SCHEME = "own"  # the unit of a scheme that stands behind the one thing that is done by it
GROUP = "GROUP"  # the unit of a word that may name a version
EMPHASIS = {"*", "_", "`"}
JOINER = "\u200d"  # joins signs to one picture: of a dancing woman the sign is no word
SIGNS = {
    **dict.fromkeys(("-", "–", "—", "−"), "DASH"),
    **dict.fromkeys((".", ";", "!"), "STOP"),
    **dict.fromkeys(("'", "’", "′"), "PRIME"),
    **dict.fromkeys(('"', "”", "″"), "DPRIME"),
    **dict.fromkeys(("→", ">", "👉", "➡", "➔", "➜", "⇒", "⏩"), "THEN"),
    **dict.fromkeys(("(", "["), "LPAR"),
    **dict.fromkeys((")", "]"), "RPAR"),
    ":": "COLON",
    ",": "COMMA",
    "/": "SLASH",
    "+": "PLUS",
    "&": "AND",
    "@": "AT",
    "×": "X",
    "#": "LB",
    "|": "BAR",
    "“": "QUOTE",
    "%": "PERCENT",
    "=": "EQUALS",
    "?": "ASKS",
    "♂": "MEN",
    "♀": "WOMEN",
    **dict.fromkeys(("✕", "✖", "⨯", "✗"), "X"),
    "➕": "PLUS",
}
# Words written short with a stop behind them; the first can't end a sentence.
NEVER_LAST = {"max", "alt", "approx", "art", "incl", "no", "nr"}
TIMES = {"min", "mins", "minute", "minutes", "sec", "secs", "second", "seconds"}
SHORTENED = NEVER_LAST | {"ft", "in", "min", "mins", "sec", "secs", "lb", "lbs", "kg", "rep", "reps", "cal", "cals", "rds"}
# `2.1 10 snatches` is a step of a list, `1.2 km` a distance and `27.5 kg` a load.
NO_UNIT = (
    r"(?!\s+(?:kgs?|kilos?|kilograms?|lbs?|pounds?|poods?|km|k|m|met(?:er|re)s?|kilomet(?:er|re)s?|cm|mm|mi|miles?|ft|feet|foot|yards?"
    r"|yd|inch|inches|mins?|minutes?|s|secs?|seconds?|h|hours?|cals?|calories|kcal|kj|x|times|percent)\b)"
)
BULLET = re.compile(
    r"\s*(?:#{1,6}(?=\s)|§\s*\d{1,2}\.?|(?:art|sec|no)\.\s*\d{1,2}\.?|\d{1,2}(?:\.\d{1,2})+\.?(?=\s+\w)"
    + NO_UNIT
    + r"|[•●▪◦*·►✓✔❖‣]+|[-–—](?=\s*\S)|\(?\d{1,2}[.)](?=\s)"
    + r"|[A-D]\d[.)](?=\s)|[A-Z]\.\d{1,2}(?=\s)|[a-h]\.(?=\s+\d)|[a-z]\)(?=\s))\s*",
    re.IGNORECASE,
)
NUMBERED = re.compile(r"\s*\((?:\d{1,2}|[a-z])\)(?=\s)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Tok:
    """A word of the grammar: its kind, its text and span. `values` are its numbers (two for `43/30`) as plain decimals, `unit`
    their unit; `key` is a movement's, `name` what it is called where the text says it in another way; `within` where a movement
    stands among words that nobody knows."""

    kind: str
    start: int
    end: int
    text: str
    values: tuple[str, ...] = ()
    unit: str = ""
    key: str = ""
    name: str = ""
    glued: bool = False
    within: tuple[int, int] = (0, 0)

    def __str__(self) -> str:
        return self.kind

    def to(self, other: "Tok", kind: str, **changed: object) -> "Tok":
        """This word and all up to another as one."""
        return replace(self, kind=kind, end=other.end, **changed)  # type: ignore[arg-type]


Run = Callable[[list[Tok], int], tuple[list[Tok], int] | None]  # the words in place of those there, and where these end


def rewritten(toks: list[Tok], run: Run) -> list[Tok]:
    """A line with each run of words that is found told in other words."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        made = run(toks, at)
        found += made[0] if made else [toks[at]]
        at = made[1] if made else at + 1
    return found


def pieces(text: str, start: int, end: int) -> list[Tok]:
    """Letters, numbers, clock times and signs of a line, as they stand. A bullet or a number in a list is passed over."""
    bullet = BULLET.match(text, start, end)
    at = bullet.end() if bullet and bullet.end() < end else start
    found: list[Tok] = []
    passed = at
    for one in PIECE.finditer(text, at, end):
        if one.start() < passed:
            continue
        numbered = NUMBERED.match(text, one.start(), end) if not found or found[-1].kind == "STOP" else None
        if numbered:
            passed = numbered.end()
            continue
        kind, said = str(one.lastgroup), one[0]
        glued = bool(found) and found[-1].end == one.start()
        values: tuple[str, ...] = ()
        if kind == "scheme":
            kind, values = "SCHEME", tuple(said.split(","))
        elif kind == "number":
            kind, values = "NUM", (said.replace(",", "."),)
        elif kind == "thousands":
            kind, values = "NUM", (said.replace(",", "").replace(".", ""),)
        elif kind in ("clock", "primed"):
            minutes, seconds = ["0", *MINUTES_SECONDS.findall(said)][-2:]  # `:40` is seconds alone
            kind, values = "CLOCK", (str(int(minutes) * 60 + int(seconds)),)
        elif kind == "letters":
            kind = "LETTERS"
        elif kind in ("ellipsis", "note"):
            kind = kind.upper()
        elif said == "*" and _multiplies(found, text, one.end(), end):
            kind = "X"
        elif said == ">" and text[: one.start()].rstrip(" >").endswith("\n"):
            continue  # of a text that is quoted
        elif (
            said in EMPHASIS
            or _picture(said)
            or (said in "♀♂" and text[one.start() - 1 : one.start()] == JOINER)
            or (said in "<>" and _frames(text, one.start(), start, end))
            or _abbreviates(found, text, one.end(), end, said)
        ):
            continue
        else:
            kind = SIGNS.get(said, "SIGN")
        found.append(Tok(kind, one.start(), one.end(), said, values, glued=glued))
    whole = _mended(found, text)
    return [one for place, one in enumerate(whole) if not _joins_letters(whole, place)]


def _mended(found: list[Tok], text: str) -> list[Tok]:
    """A word that was broken over two lines as one: `num-` and below it `ber`."""
    made: list[Tok] = []
    for one in found:
        if one.kind == "LETTERS" and len(made) > 1 and made[-1].kind == "DASH" and made[-1].glued and made[-2].kind == "LETTERS":
            between = text[made[-1].end : one.start]
            if "\n" in between and not between.strip(" \r\n>"):
                first = made[-2]
                made[-2:] = [replace(first, end=one.end, text=first.text + one.text)]
                continue
        made.append(one)
    return made


def _multiplies(found: list[Tok], text: str, at: int, end: int) -> bool:
    """The star of `3 * 10 burpees`; another one is emphasis."""
    return bool(found) and found[-1].kind == "NUM" and text[at:end].lstrip()[:1].isdigit()


def _frames(text: str, at: int, start: int, end: int) -> bool:
    """`>> 7 MINUTES <<`: signs around a line that say nothing; alone, or between words, it may be an arrow."""
    doubled = text[at] in (text[max(start, at - 1) : at], text[at + 1 : min(end, at + 2)])
    return doubled and not (text[start:at].strip(" <>*") and text[at:end].strip(" <>*"))


def _picture(said: str) -> bool:
    """A picture between words (an arrow, a tick, what follows it to give it colour): it stands for no word."""
    return said not in SIGNS and unicodedata.category(said) in ("So", "Sk", "Mn", "Cf", "Co")


def _abbreviates(found: list[Tok], text: str, at: int, end: int, said: str) -> bool:
    """The stop of a shortened word inside a sentence: `max. cal`, `50 ft. lunge`."""
    if said != "." or not found or found[-1].end != at - 1 or plain(found[-1]) not in SHORTENED:
        return False
    rest = text[at:end].lstrip()
    if len(found) > 1 and plain(found[-1]) == "max" and plain(found[-2]) in TIMES:  # `12 minutes max.`
        return False
    return plain(found[-1]) in NEVER_LAST or not rest or not rest[0].isupper()


def _joins_letters(found: list[Tok], place: int) -> bool:
    """A hyphen inside a word: `pull-ups`."""
    if found[place].kind != "DASH" or not 0 < place < len(found) - 1:
        return False
    before, after = found[place - 1], found[place + 1]
    return (
        found[place].glued
        and after.glued
        and "LETTERS" in (before.kind, after.kind)
        and not (before.kind == "NUM" and before.glued)
    )


def plain(tok: Tok) -> str:
    """A piece in small letters, as the table has it."""
    if tok.text.isascii():
        return tok.text.lower()
    return in_small(unicodedata.normalize("NFKC", tok.text))


def in_small(said: str) -> str:
    """What is said in small letters, with one sign for an apostrophe, as the tables have it."""
    return said.casefold().replace("’", "'")


def words_in(said: str) -> list[str]:
    """The words of what is said in small letters, none of its numbers among them."""
    return WORDS.findall(in_small(said))


def without_things(said: str, toks: Sequence[Tok]) -> str:
    """The text of a sentence without its numbers and movements, which stand as blanks."""
    if not toks:
        return said
    if not any(tok.values or tok.key for tok in toks):
        return said
    start, left = toks[0].start, list(said)
    for tok in toks:
        begins, ends = tok.within if tok.key and tok.kind == "UNKNOWN" else (tok.start, tok.end)
        if tok.values or tok.key:
            left[begins - start : ends - start] = " " * (ends - begins)
    return "".join(left)
