"""Blocks and parts of a workout that are told by the clock, stations that are gone round, and what a text says once more of them.

A sentence is matched as it is written, all of it: one word more, and the grammar has it. What it comes to is told in words of
the grammar, and compared there with what is told elsewhere.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.scan.frames.as_written import as_written, placed
from app.rules.reading.scan.pieces import Tok

BLOCK, NUMBERS = "block", ("one", "two", "three", "four")
A_SECOND = "a second"  # of a second time, which a clock would take for its own
ALL_OF_THEM = r"(?:everyone|everybody|all(?: of you| athletes| teams| pairs)?|both|(?:each|every) (?:athlete|team|pair))"
DONE = r"(?:finish|finished|(?:are|is|were) done|ended|completed)"
# `no matter when you finished 4A`: the clock says when it begins, whatever was before.
WHENEVER = (
    r"(?:no matter|regardless of|independent of|irrespective of|whatever|even)"
    r" (?:when|how (?:early|late|fast|long)|what time|if|the time)"
    rf"(?: (?!not\b|never\b|but\b)[a-z']+){{0,4}} {DONE}"
    r"(?: (?:with )?(?:it|that|<\w+>(?: ?[a-d])?|the first(?: part| block)?))?(?: (?:before|early|earlier))?"
)
STARTS = re.compile(
    r"(?:and |then )*(?:<PART>|<MINUTE>) ?:? ?(?:always |only )?(?:starts?|begins?|will (?:start|begin)|goes off)"
    rf"(?: for {ALL_OF_THEM})? (?:exactly )?(?:at|from|on) (?:minute )?<DUR>(?: (?:sharp|exactly))?"
    rf"(?: (?:on|of) the (?:(?:same|running|one) )*clock)?(?: for {ALL_OF_THEM})?"
)
WINDOWS = r"(?:windows?|pieces?|intervals?|bouts?|efforts?|blocks?|stretches|works?)"
EACH_TIME = r"(?:each|every) (?:time|round|interval|window|set|minute|block|bout)"
CHANGES = re.compile(
    r"(?:and )?(?:the )?(?:exercises?|movements?|stations?) (?:changes?|alternates?|rotates?)"
    rf" {EACH_TIME}(?: in (?:this|the following|that|the same|exactly this) order)?(?: ?:)?"
)
THE_THING = re.compile(
    r"(?:and )?(?:the |your )?(?:movement|exercise)s? (?:is|are|will be|stays) (?:always |only |just )*(?:the |an? )?<MOVE>"
    rf"(?: (?:all the way through|throughout|{EACH_TIME}|in (?:each|every|all)(?: of them)?|the whole time|always))?"
)
THE_SAME = re.compile(
    r"(?:and |then |after that |afterwards |followed by )*(?:you do |you go through |do |we do )?the same "
    r"(?:(?:<BARE>|<COUNT>) )?(?:things? |exercises? |movements? |stations? |ones? )?(?:all )?(?P<often>"
    r"once more|once again|one more time|one more round|another time|(?:for )?<DUR> time|again|twice more|two more times)"
    r"(?: in the same order)?"
)
TWICE_MORE = {"twice more": 3, "two more times": 3}
IN_ALL = r"(?:altogether|all together|in all|in total|all in all|all in|total|overall|for everything)"
MAKES = r"(?:(?:and )?so|and|(?:so )?(?:that's|it's|it is|it takes)|that is|(?:that |this |which )?makes|which is|i\.?e)"
TOTAL = re.compile(
    rf"{MAKES} ?(?:{IN_ALL} |a total of |exactly |(?:it's|it is|everything is|all is|you are|you're) "
    r"|(?:over|done|finished) (?:in|after) )*"
    rf"<DUR>(?: {IN_ALL}| long| of work and rest)*"
)
PIECES = re.compile(rf"{MAKES} (?:<BARE>|<COUNT>|<WINDOWS>|<ROUNDS>) ?(?:work(?:ing)? )?{WINDOWS}?(?: {IN_ALL})?(?: ?:)?")


def head_of_a_block(text: str, toks: Sequence[Tok]) -> tuple[list[Tok], int] | None:
    """`Block 1: …`, `Block 2 starts at 6:00 on the same clock: …`, and where what is done in it begins."""
    ends = next((at for at, tok in enumerate(toks) if tok.kind == "COLON" and at), None)
    for stop in ((ends,) if ends == len(toks) - 1 else (len(toks), ends)) if ends else (len(toks),):
        if stop is not None and (told := _begins_at(text, toks[:stop])):
            return told, stop
    if ends == 1 and is_a_block(toks[0]) and len(toks) > 2:
        return list(toks[:2]), 2
    return None


def is_a_block(tok: Tok) -> bool:
    """Whether a word names a block by its number."""
    return tok.kind == "MINUTE" and BLOCK in tok.text.casefold() and len(tok.values) == 1


def _begins_at(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """`Part B starts for everyone at 9:00, no matter when you finished part A.`"""
    labels = [tok for tok in toks if placed(tok)]
    if not labels or not (labels[0].kind == "PART" or is_a_block(labels[0])) or not _starts(text, toks):
        return None
    when = next(tok for tok in labels if tok.kind == "DUR")
    number = part_number(labels[0])
    if not number or len(when.values) != 1 or any(tok.key for tok in labels):
        return None
    return [toks[0].to(toks[-1], "PARTAT", values=(str(number),), text=labels[0].text), when]


def _starts(text: str, toks: Sequence[Tok]) -> bool:
    """Whether it says when something begins; a clause behind may say that it does so whatever was before."""
    at = next((at for at, tok in enumerate(toks) if tok.kind == "COMMA"), len(toks))
    behind = toks[at + 1 :]
    whatever = not behind or re.fullmatch(WHENEVER, as_written(text, behind)) is not None
    return bool(toks[:at]) and STARTS.fullmatch(as_written(text, toks[:at])) is not None and whatever


def part_number(tok: Tok) -> int:
    """The number of a part or a block that is named: 2 of `part B`, `5B`, `block two`; 0 where it is not clear."""
    if tok.values:
        return int(tok.values[0]) if tok.values[0].isdigit() else 0
    last = tok.text.casefold().split()[-1]
    if last.isdigit():
        return int(last)
    if last in NUMBERS:
        return NUMBERS.index(last) + 1
    return "abcdefgh".find(last[-1:]) + 1 if last[-1:].isalpha() and (len(last) == 1 or last[:-1].isdigit()) else 0


def told_of_blocks(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """A sentence, or a clause, that says how what is listed is gone through, or once more how much all of it is."""
    said, numbers = as_written(text, toks), [tok for tok in toks if placed(tok)]
    if THE_THING.fullmatch(said) and len(numbers) == 1 and not numbers[0].values:
        begins, ends = numbers[0].within if numbers[0].kind == "UNKNOWN" else (numbers[0].start, numbers[0].end)
        return [replace(numbers[0], kind="MOVE", start=begins, end=ends, text=text[begins:ends], within=(0, 0))]
    if CHANGES.fullmatch(said):
        return [toks[0].to(toks[-1], "ALTERNATING", values=(), key="")]
    if told := THE_SAME.fullmatch(said):
        if any(tok.kind == "DUR" and tok.text.casefold() != A_SECOND for tok in numbers):
            return None
        many = (value for tok in numbers if tok.kind != "DUR" for value in tok.values)
        return [toks[0].to(toks[-1], "SAMELIST", values=(*many, str(TWICE_MORE.get(told["often"], 2))), key="")]
    if TOTAL.fullmatch(said) and len(numbers[0].values) == 1:
        return [toks[0].to(toks[-1], "ALLTIME", values=numbers[0].values, key="")]
    if PIECES.fullmatch(said) and len(numbers[0].values) == 1:
        return [toks[0].to(toks[-1], "CLAIM", values=numbers[0].values, key="")]
    return None
