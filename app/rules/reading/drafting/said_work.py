"""A statement of work as a line of a draft: how much of what, with which load, how high, for whom."""

import re
from collections.abc import Sequence

from app.rules.reading.drafts import Amount, AmountKind, Loaded, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.reading.things import is_such, needs_bar
from app.rules.workout.movements import library

SIGN = re.compile(r"[,.;:!?\n]")
AMOUNTS: dict[str, AmountKind] = {
    "COUNT": "reps",
    "BARE": "reps",
    "TIMES": "reps",
    "REPS": "reps",
    "LENG": "distance",
    "CALS": "calories",
    "DUR": "time",
    "SIZE": "size",
}


def span_of(statement: Statement) -> Span:
    """The stretch of the text that a statement came from."""
    return Span(statement.start, statement.end)


def said_work(statement: Statement) -> Work:
    """The line of work that a `work` statement says."""
    thing = next(part.toks[0] for part in statement.parts if part.rule == "thing")
    broken = thing.kind == "MOVE" and "-\n" in thing.text  # `dumb-`, and below it `bell snatches`
    work = Work(
        name=thing.name or (library().movements[thing.key].name if broken else " ".join(thing.text.split())),
        key=thing.key,
        known=thing.kind == "MOVE",
        span=span_of(statement),
        thing=Span(thing.start, thing.end),
    )
    for part in statement.parts:
        if part.rule in ("amount", "amount_behind"):
            work.amount = _amount(part.toks[0])
        elif part.rule == "each_of":
            work.amount = Amount("calories" if part.toks[0].kind == "CAL" else "distance", (), part.toks[0].kind)
        elif part.rule == "detail":
            _detail(work, part)
    return work


def said_load(statement: Statement) -> Loaded:
    """The load of a `load` or a `loose_load` statement."""
    number = statement.tok("LOAD", "PAIRNUM", "BARE", "SIGN")
    assert number is not None
    whose = statement.tok("VERSIONS")
    return Loaded(number.values, number.unit, span_of(statement), whose.values if whose else (), number.key)


def _amount(tok: Tok) -> Amount:
    return Amount(AMOUNTS[tok.kind], tok.values, tok.unit)


def _detail(work: Work, part: Statement) -> None:
    tok = next(tok for tok in part.toks if tok.kind != "AT" or len(part.toks) == 1)
    load = part.part("load")
    twice = {"SIZE": work.size, "WORTH": work.worth}.get(tok.kind)
    work.too_many |= bool(load and work.load) or twice is not None
    if part.parts and part.parts[0].rule == "versions":
        work.versions = tok.values
    elif load:
        work.load = said_load(load)
    elif tok.kind == "CAL":
        work.most = "calories"
    elif tok.kind == "SIZE":
        work.size = _amount(tok)
    elif tok.kind == "NOTE":
        told = tok.text.strip("“”")
        work.note = f"{work.note}, {told}" if work.note else told
    elif tok.kind == "UNBROKEN":
        work.note = f"{work.note}, {tok.text.lower()}" if work.note else tok.text.lower()
    elif tok.kind == "EACHSIDE":
        work.each_side = True
        work.too_many |= work.amount is not None and work.amount.kind != "reps"
    elif tok.kind == "SYNC":
        work.sync = True
    elif tok.kind == "WORTH":
        work.worth = int(tok.values[0])


def said_size(statement: Statement) -> Amount:
    """A height or a length that stands beside a thing."""
    tok = statement.toks[0]
    return Amount("size", tok.values, tok.unit)


def load_alike(works: Sequence[Work], last: Work, load: Loaded) -> None:
    """Gives a load to the last of some lines and to those before it that lack the load of their bar."""
    for work in works:
        if work.load is None and (work is last or needs_bar(work)):
            work.load = load


def ends_there(text: str, span: Span) -> bool:
    """Whether a clause ends behind a stretch of the text: not before `… for everybody but the juniors`."""
    return text[span.end :].lstrip(" )")[:1] in ("", *"\n,;.")


def same_clause(between: str) -> bool:
    """Whether two things stand in one sentence."""
    return not any(sign in between for sign in "\n.;!?")


def reps_of(work: Work) -> int:
    """How many repetitions it asks for; 0 where it is no whole number of them."""
    return int(work.amount.values[0]) if work.amount and work.amount.values and work.amount.values[0].isdigit() else 0


def is_timed(work: Work) -> bool:
    """Whether a thing is done for so long, or is a rest."""
    return bool(work.rest) or (work.amount is not None and work.amount.kind == "time")


def told_within(stretch: Stretch, span: Span) -> None:
    """Windows that are told between two times of the clock end with the second of them, or their last rest does."""
    if stretch.start is not None and stretch.seconds is not None:
        stretch.ends, stretch.seconds = (stretch.start + stretch.seconds, span), None


def talks_behind(text: str, statement: Statement) -> bool:
    """`4 rounds: 400 m run, then you come back in, and that's 19 swings`: whether somebody talks behind it, before the work."""
    return len(SIGN.split(text[statement.toks[-1].end :], maxsplit=1)[0].split()) > 1


def says_how(text: str, work: Work, last: Work | None, before: Sequence[Work]) -> bool:
    """`Swings overhead.` below kettlebell swings and another line: how they are done, most likely, and no more work."""
    lines = text[last.span.end : work.span.start].split("\n")[1:-1] if last else []
    alike = any(is_such(work.key, one.key) and work.key != one.key for one in before)
    return alike and any(line.strip() for line in lines) and work.amount is None and not (work.most or work.load)
