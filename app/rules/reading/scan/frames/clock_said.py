"""What happens when the clock says so, stations told in a sentence, and a block that is done once more with another thing."""

import re
from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.scan.frames.as_written import as_written
from app.rules.reading.scan.frames.blocks_said import THE_THING, is_a_block, part_number, told_of_blocks
from app.rules.reading.scan.pieces import Tok

SAYS = r"(?:hits|says|reads|shows|strikes|reaches|gets to|is at|is on|comes to)"
# `When the clock hits 10:00`, `at the 10 minute mark`.
WHEN = re.compile(
    rf"(?:and |then )*(?:(?:when|as soon as|once) the (?:clock|timer|time) {SAYS}(?: minute)? <DUR>|(?:at|on) the <DUR> mark)"
)
STARTS = r"(?:start|begin|starts|begins|comes)"
WITH_A_PART = re.compile(rf"(?: ?,)? ?(?:(?:we|you|they|everyone|everybody) )?(?:{STARTS}(?: with)? <PART>|<PART> {STARTS})")
MINUTES_BEFORE = re.compile(r"^\d\d ")  # of 10:00, which has a sign in it
AT_STATIONS = ("station", "exercise", "machine")
NAMED = ("MINUTE", "AMRAP", "SET", "ROUND", "INTERVAL", "WINDOW")
PARTING = ("COMMA", "COLON", "DASH")
STATIONS = re.compile(
    r"(?:each|every) (?P<what>station|exercise|machine|interval|window|block|round|set)"
    r" (?:lasts|takes|is)(?: for)? <DUR>(?: long)? ?,?"
    r" ?(?:and |with |then )*(?:there (?:is|are) |you (?:have|get) )?<DUR>(?: of)?"
    r"(?:(?: (?:rest|break|pause|to (?:change|move|switch|rotate)))? (?:in )?between(?: them| stations| each)?"
    r"| to (?:walk|move|get|change|switch|go)(?: on)? to the next(?: one| station| machine)?)"
)
BEFORE_THE_NEXT = re.compile(r"(?:and )?(?:also )?<DUR> before the (?:second|next) (?:lap|round)(?: (?:as well|too|also))?")
SAME_WITH = re.compile(
    r"(?:[a-z' ]*\d\d(?: minute mark)? ?,? ?)?"  # when it begins, which is told apart
    r"(?:(?:you|we|they|everyone|everybody) )?(?:do |does |comes |it's |repeat )?(?:exactly )?the same(?: thing| work)?"
    r"(?: again)?(?: but)? with (?:the )?<MOVE>"
)


def head_by_the_clock(text: str, toks: Sequence[Tok]) -> tuple[list[Tok], int] | None:
    """`When the clock hits 10:00 begin part B: …`, `At the 8 minute mark: …`, `Station 1 (0:00-2:00): …`, `Set 1: 3 min …`: when
    it begins, and where what is done begins in the sentence."""
    if toks and toks[0].kind in NAMED and (headed := _named(text, toks)):
        return headed
    if [tok.kind for tok in toks[:3]] == ["STARTAT", "DUR", "SAMEORDER"]:
        return list(toks[:2]), 2  # `at 5:00 the same with …`
    at = next((at for at, tok in enumerate(toks) if tok.values or tok.key), len(toks))
    if at == len(toks) or toks[at].kind != "DUR" or len(toks[at].values) != 1:
        return None
    ends = at + 1
    marked = ends < len(toks) and toks[ends].text.casefold() == "mark"
    ends += marked
    if not WHEN.fullmatch(as_written(text, toks[:ends], to_the_edge=False)):
        return None
    part = next((place for place in range(ends, min(ends + 4, len(toks))) if toks[place].kind == "PART"), None)
    last = _begun(text, toks, ends, part) if part is not None else 0
    first = toks[0]
    if part is not None and last:
        return [first.to(first, "PARTAT", values=(str(part_number(toks[part])),), text=toks[part].text), toks[at]], last
    return [first.to(toks[at - 1] if at else first, "STARTAT", values=(), text=""), toks[at]], ends


def _begun(text: str, toks: Sequence[Tok], ends: int, part: int) -> int:
    """Where the words end that say which part begins then; 0 where they say something else."""
    for last in (part + 1, part + 2):
        said = as_written(text, toks[ends:last], to_the_edge=False) if last <= len(toks) else ""
        if WITH_A_PART.fullmatch(MINUTES_BEFORE.sub("", said).strip(" ,")):
            return last
    return 0


def _named(text: str, toks: Sequence[Tok]) -> tuple[list[Tok], int] | None:
    """A window that is named by its number, and when it is, or how long it lasts."""
    first = toks[0]
    place = 1 if first.kind == "MINUTE" else 2
    number = first.values if first.kind == "MINUTE" else toks[1].values if len(toks) > 1 and toks[1].kind == "BARE" else ()
    while place < len(toks) and toks[place].kind in PARTING:
        place += 1
    if len(number) != 1 or place >= len(toks) or toks[place - 1].kind not in PARTING:
        return None
    if toks[place].kind == "SPAN" and not is_a_block(first) and _next_of_them(text, first, number[0]):
        ends = place + 1
        while ends < len(toks) and toks[ends].kind in PARTING:
            ends += 1
        if first.kind != "AMRAP":
            return [toks[place]], ends
        lasts = int(toks[place].values[1]) - int(toks[place].values[0])
        label = [] if number == (str(lasts // 60),) else [first.to(toks[1], "MINUTE", values=number, text="block")]
        return [*label, toks[place], first], ends  # `AMRAP 1 (0:00-6:00)`
    if first.kind not in ("MINUTE", "AMRAP") and toks[place].kind == "DUR" and toks[1].values[0].isdigit():
        return [first.to(toks[1], "MINUTE", values=number, text="block"), toks[place - 1]], place
    return None


def _next_of_them(text: str, first: Tok, number: str) -> bool:
    """Whether it is the next after those of that name that stand before it: `station 3` behind `station 1` is not."""
    name = re.match(r"[^\W\d_]+", first.text)
    before = {int(one) for one in re.findall(rf"(?im)^\W*{name[0]}\s+(\d+)", text[: first.start])} if name else set()
    return number.isdigit() and before == set(range(1, int(number)))


def told_by_the_clock(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """`Each station lasts 1:30, with 30 s between`; `the same again with sit-ups`."""
    said, numbers = as_written(text, toks), [tok for tok in toks if tok.values or tok.key]
    last = toks[-1]
    if (told := STATIONS.fullmatch(said.replace(" ,", ","))) and all(len(tok.values) == 1 for tok in numbers):
        stations = [last.to(last, "STATIONS", values=(), key="")] if told["what"] in AT_STATIONS else []
        return [*stations, numbers[0], numbers[1], *(last.to(last, kind, values=(), key="") for kind in ("REST", "BETWEEN"))]
    if BEFORE_THE_NEXT.fullmatch(said) and len(numbers) == 1:
        rest, between, rounds = (last.to(last, kind, values=(), key="") for kind in ("REST", "BETWEEN", "ROUND"))
        return [rest, numbers[0], between, rounds]
    if SAME_WITH.fullmatch(said) and len(numbers) == 1:
        thing = numbers[0]
        return [replace(thing, kind="SAMEWITH", within=(0, 0))] if thing.kind == "MOVE" else None
    return None


def clauses_told(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """A sentence of which the last clauses are told so; None where none is."""
    commas = [at for at, tok in enumerate(toks) if tok.kind == "COMMA"]
    made: list[Tok] = []
    end = len(toks)
    for at in reversed(commas):
        told = [] if at + 1 == end else _told(text, toks[at + 1 : end])
        if told is None:
            break
        made = [toks[at], *told, *made]
        end = at
    first = toks[: commas[0]] if commas else []
    if first and commas[0] < end and THE_THING.fullmatch(as_written(text, first)):  # `…, chest on the ground`: how it is judged
        return [*(told_of_blocks(text, first) or first), *toks[commas[0] : end], *made]
    return [*toks[:end], *made] if any(tok.kind != "COMMA" for tok in made) else None


def _told(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    return told_of_blocks(text, toks) or told_by_the_clock(text, toks)
