"""The title of a written workout: its first line, or `Event 3: Gravel` below a greeting."""

import re

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.told_beside import ENDS_IT, TellsBeside

WORDS_IN_TITLE = 5  # of a title that could be ordinary talk
# The first line is a title if it holds words alone, or begins so.
COUNTED_OUT = r"(?:\d{1,2}[a-d](?:\s*[/&+-]\s*\d{0,2}[a-d])?|\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|[a-h])\b"
NAMED_BY = "event|workout|wod|part|test|day|year|grade|class|week|plan|stage"
NUMBER_OF = r"(?:no\.?\s*|nr\.?\s*|number\s*|#\s*)?"
NUMBERED = re.compile(
    rf"(?:{NAMED_BY})\s+{NUMBER_OF}{COUNTED_OUT}|(?<![\w-])[EW]\d{{1,2}}(?=\s*(?:$|[:.,)–—-]))",
    re.IGNORECASE,
)
LABEL = re.compile(
    rf"\W*(?:event|workout|wod|test|week)\s+{NUMBER_OF}{COUNTED_OUT}[\s.:=,–—-]*|[EW]\d{{1,2}}\s*[:–—-]\s*(?=\S)", re.IGNORECASE
)
SPOKEN = r"\W*(?:(?:right|ok|okay|so|now|well|alright|all\s+right|um|uh|this\s+is)[\s,]+)*"  # before it, when somebody speaks
CALLED = re.compile(rf"{SPOKEN}([^\W\d_]{{4,8}})\s+{NUMBER_OF}{COUNTED_OUT}[\s.:=,–—-]*", re.IGNORECASE)
NUMBER_N_IS = re.compile(rf"{SPOKEN}number\s+{COUNTED_OUT}\s+(?=is\b)", re.IGNORECASE)
LABELLED = {"event", "workout"}
NAMED = re.compile(r"""["“][^"“”\d]{2,40}["”][\s.:,–—-]*""")
IN_QUOTES = re.compile(r"""\W*["“]([^"“”\d]{2,40})["”]\s*[-–—:,]\s*(?=\S)""")
WORDS_OF_TITLE = {
    *("UNKNOWN", "PROSE", "COLON", "COMMA", "QUOTE", "DPRIME", "PRIME", "NOTE", "AND", "STOP", "PART", "SLASH"),
    *("YD", "FT", "MI", "LB", "MIN", "SEC"),
}
WORDS_OF_A_TOTAL = 3
TOTAL = {"T_SUM", "MOVE", "PLUS", "AND", "COLON", "COMMA", "UNKNOWN", "PROSE"}
IN_NUMBERED = {
    "RM",
    "HEAVY",
    "COMPLEX",
    "BARE",
    "COUNT",
    "T_LOAD",
    "T_TIME",
    "T_BEST",
    "HOLD",
    "ON",
    "OFF",
    "TO",
    "BAR",
    "DPRIME",
}
BEGINS_WORK = ("FORTIME", "AMRAP", "EMOM", "EVERY", "TEAMS", "PAIR", "TRIO", "SOLO", "CAP")


class TellsTitles(TellsBeside):
    """Knows which line is a title."""

    began = False

    def _named_in_quotes(self, start: int, end: int) -> int:
        """`"Steps" - AMRAP 12: …`: where what is done begins, behind the name."""
        named = None if self.began or self.drafter.draft.title else IN_QUOTES.match(self.talk.text, start, end)
        if named is None or named.end() >= end:
            return start
        self.drafter.draft.title = named[1]
        return named.end()

    def label_ends(self, start: int, end: int) -> int:
        """Where what is done begins behind `Event 3:`, `ok so evnet 2`, `right so number two`; its start where there is none."""
        text = self.talk.text
        called = CALLED.match(text, start, end)
        word = called[1].casefold() if called else ""
        known = bool(word) and (self.scanner.spelt([word]) or [""])[0] in LABELLED
        label = LABEL.match(text, start, end) or (called if known else None) or NUMBER_N_IS.match(text, start, end)
        return label.end() if label and label.end() < end and text[label.end() : end].strip() else start

    def _titled_later(self, toks: list[Tok], start: int, end: int) -> bool:
        """`Event 2: Gravel` below a greeting or the head of a page, before anything is done."""
        done = any(one.works or one.kind for one in self.drafter.draft.stretches)
        said = self.talk.text[start:end]
        begins = _quoted(said) or NUMBERED.match(said.lstrip(' \t#*"“'))
        return bool(self.began and toks and begins and not done) and self._title(toks, start, end)

    def _titled(self, toks: list[Tok]) -> list[Tok]:
        """What is left of a first line when its first sentence is a title of words alone."""
        stop = next((place for place, tok in enumerate(toks) if tok.kind == "STOP"), 0)
        begins = next((place for place, tok in enumerate(toks[1:], 1) if tok.kind in BEGINS_WORK), 0)  # `Teens, for time`
        if begins > 1 and toks[begins - 1].kind in ("COMMA", "COLON") and (not stop or begins < stop):
            stop = begins - 1
        first = toks[:stop]
        if not first or any(tok.kind == "PROSE" for tok in first) or not self._title(first, first[0].start, first[-1].end):
            return toks
        return toks[stop:]

    def _title(self, toks: list[Tok], start: int, end: int) -> bool:
        """The first line is the title if it is words alone, or `Event 3` and words."""
        said = self.talk.text[start:end].strip(' \t#*:-"“”')
        numbered = NUMBERED.search(said)
        rest = said[: numbered.start()] + said[numbered.end() :] if numbered else said
        while toks and toks[-1].kind == "STOP":
            toks = toks[:-1]
        kinds = WORDS_OF_TITLE | (IN_NUMBERED if numbered else set())
        if numbered and any(tok.kind not in ("LADDER", "PROSE") for tok in toks):
            kinds = kinds | {"LADDER"}  # `Event 8: Climbing Minutes`
        behind = self.talk.text[start:end].partition(numbered[0])[2].strip(" \t#*:.–—-") if numbered else ""
        if _quoted(self.talk.text[start:end]) or (len(behind) > 2 and NAMED.fullmatch(behind)):
            self._entitle(said, start, end)
            return True
        summed = {tok.kind for tok in toks}
        if summed <= TOTAL and {"T_SUM", "PLUS"} <= summed and not self.began and not any(tok.values for tok in toks):
            self._entitle(said, start, end)  # `Lifting total: snatch + clean & jerk`
            return True
        alone = summed <= {"T_SUM", "UNKNOWN", "PROSE"} and "T_SUM" in summed and len(said.split()) <= WORDS_OF_A_TOTAL
        if alone and "total" in said.casefold().split() and not self.began and not any(tok.key or tok.values for tok in toks):
            self._entitle(said, start, end)  # `SPRING TOTAL`
            return True
        if any(tok.kind not in kinds or tok.key for tok in toks) or any(sign.isdigit() for sign in rest):
            return False
        kinds = {tok.kind for tok in toks}
        table = self.scanner.words.small_talk
        bears = table.bears(said, self.scanner.talked) or table.orders(said) or ENDS_IT.search(said) is not None
        if bears and (self.talk.text[: end + 1].rstrip().endswith((".", "!")) or table.sentence(said)):
            return False
        if not numbered and "PROSE" in kinds and (kinds & {"COMMA", "STOP"} or len(said.split()) > WORDS_IN_TITLE):
            return False
        self._entitle(self.talk.text[start:end].strip(' \t#*:"“”'), start, end)
        return True

    def _entitle(self, title: str, start: int, end: int) -> None:
        """A title is a name: no word of it is misspelt."""
        self.drafter.draft.title = title
        told = self.talk.assumed
        self.talk.assumed = {words: one for words, one in told.items() if one.span is None or not start <= one.span.start < end}


def _quoted(said: str) -> bool:
    """A whole line in quotes, without a number."""
    plain = said.strip(" \t#*")
    return len(plain) > 2 and plain[0] in '"“' and plain[-1] in '"”' and not any(sign.isdigit() for sign in plain)
