"""Members, parts and windows that are told by a letter or a number of their own: `A:`, `5B`, `first minute:`."""

import re
from dataclasses import replace

from app.rules.reading.scan.pieces import NTH, Tok, plain

WORKS = {"holds", "hold", "rests", "works", "rows", "runs", "bikes", "skis", "lifts", "hangs", "carries", "starts"}
WORKS |= {"has", "takes", "goes", "gets", "planks", "skips", "cycles", "rides", "pedals", "swims", "jumps", "squats"}
DOES = WORKS - {"has", "takes", "goes", "gets"} | {"does"}
NUMBERS = {"one": "1", "two": "2", "three": "3", "four": "4"}
AGAIN = "again"  # the unit of the same by that member itself: `A again`
OFTEN = {"twice": "2", "thrice": "3"}
LETTERS_OF_MEMBERS = {"A": "MEMBERA", "B": "MEMBERB", "C": "MEMBERC"}


def letter_of_member(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`while A holds a plank`: a capital letter that does something is one of the entry's members, and no article."""
    between = 0 < at < len(raw) - 1 and raw[at - 1].kind == raw[at + 1].kind == "BAR"  # a cell of its own
    if between and raw[at].text in LETTERS_OF_MEMBERS:
        return [replace(raw[at], kind=LETTERS_OF_MEMBERS[raw[at].text])], 1
    if not at < len(raw) - 1 or raw[at].text not in LETTERS_OF_MEMBERS or raw[at].glued:
        return None
    if at and raw[at - 1].kind == "COLON" and (raw[at + 1].kind == "NUM" or plain(raw[at + 1]) == "max"):  # `Odd: A 10 burpees`
        return [replace(raw[at], kind=LETTERS_OF_MEMBERS[raw[at].text])], 1
    joined = plain(raw[at + 1]) in ("and", "+", "&") and at + 3 < len(raw) and raw[at + 2].text in LETTERS_OF_MEMBERS
    if joined and (raw[at + 3].kind == "COLON" or plain(raw[at + 3]) in WORKS):  # `0:00-4:00 A and B: …`
        return [replace(raw[at], kind=LETTERS_OF_MEMBERS[raw[at].text])], 1
    if plain(raw[at + 1]) == AGAIN:
        return _again(raw, at)
    if plain(raw[at + 1]) not in WORKS and [plain(one) for one in raw[at + 1 : at + 3]] != ["the", "same"]:
        return None
    return [replace(raw[at], kind=LETTERS_OF_MEMBERS[raw[at].text])], 1


def _again(raw: list[Tok], at: int) -> tuple[list[Tok], int]:
    """`4:00-6:00 A again, same rule`: what that member has done before, with all that goes with it."""
    behind = [plain(one) for one in raw[at + 2 : at + 5]]
    length = 5 if behind[1:] in (["same", "rule"], ["same", "rules"]) and raw[at + 2].kind == "COMMA" else 2
    member = replace(raw[at], kind=LETTERS_OF_MEMBERS[raw[at].text])
    return [member, raw[at + 1].to(raw[at + length - 1], "SAMEORDER", text="", values=(), unit=AGAIN)], length


def numbered_member(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`Number 1 does the sit-ups while number 2 holds a plank`: members by their numbers; `number 2 is an AMRAP` is none."""
    if plain(raw[at]) != "number" or at + 2 >= len(raw) or plain(raw[at + 2]) not in DOES:
        return None
    number = raw[at + 1].values[0] if raw[at + 1].kind == "NUM" else NUMBERS.get(plain(raw[at + 1]), "")
    length = 3 if plain(raw[at + 2]) in ("does", "works") else 2
    return ([raw[at].to(raw[at + length - 1], "MEMBER", text="", values=(number,))], length) if number.isdigit() else None


def lettered(raw: list[Tok], at: int) -> bool:
    """`5A`: a number with a letter right behind it, and nothing more in that word."""
    letter = raw[at + 1] if at + 1 < len(raw) else None
    after = raw[at + 2] if at + 2 < len(raw) else None
    plain_letter = letter is not None and letter.glued and letter.text in "ABCDabcd" and len(letter.text) == 1
    return raw[at].kind == "NUM" and plain_letter and (after is None or after.kind in ("LPAR", "COLON", "DASH", "STOP"))


def part(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`5B (6:00-10:00)` at the beginning of a line: another part of the workout."""
    return ([raw[0].to(raw[1], "PART", text="", values=())], 2) if at == 0 and lettered(raw, 0) else None


def nth_window(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`First minute: …`, `second station – …` at the beginning of a sentence."""
    begins = at == 0 or raw[at - 1].kind in ("STOP", "COMMA") or "\n" in raw[at - 1].text
    if not begins or at + 2 >= len(raw) or plain(raw[at]) not in NTH or raw[at + 2].kind not in ("COLON", "DASH"):
        return None
    if plain(raw[at + 1]) not in ("minute", "window", "interval", "station"):
        return None
    return [raw[at].to(raw[at + 1], "MINUTE", text="", values=(str(NTH.index(plain(raw[at])) + 1),))], 2


def twice(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`Twice through`, `go round twice`: so often."""
    gone = [plain(one) for one in raw[at : at + 3]]
    if gone[:1] == ["go"] and gone[1:2] in (["round"], ["around"]) and gone[2:] and gone[2] in OFTEN:
        return [raw[at].to(raw[at + 2], "TIMES", text="", values=(OFTEN[gone[2]],))], 3
    if raw[at].text[:1] not in "tT" or plain(raw[at]) not in OFTEN or at + 1 >= len(raw) or plain(raw[at + 1]) != "through":
        return None
    return [raw[at].to(raw[at + 1], "TIMES", text="", values=(OFTEN[plain(raw[at])],))], 2


UNITS_OF_TIME = ("s", "sec", "secs", "second", "seconds", "min", "mins", "minute", "minutes")
REACH = 5  # words back: `25 sec on 15 sec of`


def off_misspelt(raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`25 sec on 15 sec of, 7 times`: a time off beside one on."""
    ends = at + 1 == len(raw) or raw[at + 1].kind in ("COMMA", "STOP", "SLASH", "RPAR")
    if raw[at].text.casefold() != "of" or not ends or at < REACH - 1:
        return None
    before = [plain(one) for one in raw[max(0, at - REACH) : at]]
    timed = before[-1] in UNITS_OF_TIME and raw[at - 2].kind == "NUM" and "on" in before[:-2]
    return ([replace(raw[at], kind="OFF")], 1) if timed else None


def letters(raw: list[Tok]) -> list[Tok]:
    """`A:`, `A+B:`, `A and B:` before a line: for whom it is; the colon stays behind."""
    letters = raw[0 : len(raw) : 2]
    for number, tok in enumerate(letters):
        after = raw[2 * number + 1] if 2 * number + 1 < len(raw) else None
        joins = after is not None and (after.kind in ("PLUS", "AND") or after.text == "and")
        ends = after is not None and after.kind == "COLON"
        if not re.fullmatch("[A-L]", tok.text) or not (joins or ends) or loads_women(raw):
            return []
        if ends:
            values = tuple(str(ord(one.text) - ord("A") + 1) for one in letters[: number + 1])
            return [raw[0].to(tok, "LETTER", values=values)]
    return []


OF_LOADS = ("kg", "kgs", "kilos", "lb", "lbs", "pounds")


def loads_women(raw: list[Tok]) -> bool:
    """`F: 40 kg`: women, and no sixth member."""
    kinds = [one.kind for one in raw[:4]]
    return raw[0].text == "F" and kinds[1:] == ["COLON", "NUM", "LETTERS"] and plain(raw[3]) in OF_LOADS
