"""What every member of an entry does for so long: one after another, or all of them at the same time."""

import re
from copy import deepcopy

from app.rules.reading.drafts import Stretch
from app.rules.reading.talk import Span
from app.rules.reading.things import Things
from app.rules.values.clock_times import minutes_text

EVERY_MEMBER = re.compile(
    r"\b(?:(?:each|every|per) (?:athlete|member|partner|person|player|pupil|one)\b|(?:each|every one) of (?:you|them)\b"
    r"|every(?:body|one) does\b|each (?:has|gets)\b)"
)
IN_TURN = re.compile(r"\bone after (?:the other|another)\b|\bin turn\b|\brelay\b|\bback to back\b")
ENDS = re.compile(r"[.;!?\n]")


def each_in_turn(things: Things) -> None:
    """`Teams of 3: each member 2 min max wall balls`: a window of each member, where they go one after another; which it is
    is asked where the text does not say."""
    members, made = things.draft.members or 1, list[Stretch]()
    for stretch in things.draft.stretches:
        seconds = _long(stretch, members)
        if _windows_in_turn(things, stretch, members):
            made += [_of_turn(stretch, number, members) for number in range(_row_of(stretch)[0])]
        elif members == 1 or seconds is None or not _of_each(things, stretch):
            made.append(stretch)
        elif _in_turn(things, stretch, members, seconds):
            if stretch is [one for one in things.draft.stretches if one.works][-1]:
                _rest_between(stretch)
            made += [_of_member(stretch, number, members, seconds) for number in range(1, members + 1)]
        else:
            stretch.each_does = False
            made.append(stretch)
    for stretch in made:
        listed = all(work.rest or (work.amount is not None and work.amount.kind != "time") for work in stretch.works)
        if stretch.each_does and stretch.who is None and not (listed and things.draft.style != "SPLIT") and members > 1:
            things.talk.red(stretch.span or Span(0, 0), "What each of them does here, and when, is not clear.")
    things.draft.stretches[:] = made


def has_its_time(things: Things, stretch: Stretch) -> bool:
    """`Everybody does 5 minutes on the ski erg`: whether a time of its own is told with what each member does."""
    amount = stretch.works[0].amount if len(stretch.works) == 1 else None
    return (
        amount is not None
        and amount.kind == "time"
        and _long(stretch, things.draft.members or 1) is not None
        and _of_each(things, stretch)
    )


def _of_each(things: Things, stretch: Stretch) -> bool:
    return stretch.each_does or EVERY_MEMBER.search(_sentence(things, stretch)) is not None


def _windows_in_turn(things: Things, stretch: Stretch, members: int) -> bool:
    """`You go I go, 6 x 1 min max cal row`: whether the windows are one member's after the other's is asked."""
    count, _ = _row_of(stretch)
    if members == 1 or count < 2 or count % members or things.draft.style != "TURNS":
        return False
    answers = [("turn", "One member after the other, a window each"), ("any", "Whoever they like in each window")]
    asked = f"{count} windows in turn: who works in which?"
    return things.talk.ask("whose", stretch.span or Span(0, 0), asked, answers) == "turn"


def _row_of(stretch: Stretch) -> tuple[int, int | None]:
    """How many windows of one thing, as much as possible, and how long each is; 0 for anything else."""
    works = stretch.works
    if len(works) != 1 or stretch.who is not None or stretch.start is not None or stretch.held is not None or works[0].rest:
        return 0, None
    amount = works[0].amount
    if stretch.kind == "windows" and amount is None and stretch.group.rounds == 1:
        return stretch.count or 1, stretch.seconds
    if stretch.kind == "" and amount is not None and amount.kind == "time":
        own, rounds = int(amount.values[0]), stretch.group.rounds
        return (rounds, own) if _fits(stretch, rounds, own) else (0, None)
    return 0, None


def _fits(stretch: Stretch, count: int, own: int) -> bool:
    """Whether what is said to last in all is what so many windows last: not `25 minutes in all` of four times five."""
    return stretch.seconds in (None, count * own + (count - 1) * (stretch.off or stretch.after))


def _of_turn(stretch: Stretch, number: int, members: int) -> Stretch:
    """One of the windows that members do in turn."""
    count, seconds = _row_of(stretch)
    one, last = deepcopy(stretch), number == count - 1
    one.kind, one.seconds, one.count, one.off, one.each_does = "windows", seconds, None, 0, False
    one.who, one.group.rounds, one.works[0].amount = (number % members + 1,), 1, None
    one.after = stretch.after if last else stretch.off
    one.after_span = stretch.after_span if last else stretch.off_span
    return one


def _long(stretch: Stretch, members: int) -> int | None:
    """How long one thing is done, as much as possible, in one window of nobody in particular; None for anything else."""
    if len(stretch.works) != 1 or stretch.who is not None or stretch.count not in (None, 1, members):
        return None
    if stretch.group.rounds > 1:
        return None
    work = stretch.works[0]
    if work.amount is not None and work.amount.kind == "time" and stretch.kind == "":
        own = int(work.amount.values[0])
        return own if _fits(stretch, members, own) else None
    return stretch.seconds if stretch.kind == "windows" and work.amount is None and stretch.start is None else None


def _sentence(things: Things, stretch: Stretch) -> str:
    """The sentence in which what is done is told."""
    text, span = things.talk.text, stretch.works[0].span
    begins = max((one.end() for one in ENDS.finditer(text, 0, span.start)), default=0)
    ends = ENDS.search(text, span.end)
    return text[begins : ends.start() if ends else len(text)].casefold()


def _in_turn(things: Things, stretch: Stretch, members: int, seconds: int) -> bool:
    draft, talk = things.draft, things.talk
    total = {one.seconds for one in draft.stretches if not one.works} | {draft.total, draft.cap}
    if draft.style in ("TURNS", "RELAY") or IN_TURN.search(talk.text.casefold()) or members * seconds in total:
        return True
    each = minutes_text(seconds)
    answers = [
        ("turn", f"One after another, a window of {each} for each"),
        ("once", f"All at the same time, in one window of {each}"),
    ]
    asked = f"{each} for each of {members} members: one after another, or at the same time?"
    return talk.ask("each", stretch.span or Span(0, 0), asked, answers) == "turn"


def _of_member(stretch: Stretch, number: int, members: int, seconds: int) -> Stretch:
    """The window of one member, and the rest behind it."""
    one = deepcopy(stretch)
    one.who, one.kind, one.seconds, one.works[0].amount, one.off = (number,), "windows", seconds, None, 0
    one.count = None
    one.after = stretch.after if number == members else stretch.off
    one.after_span = stretch.after_span if number == members else stretch.off_span
    return one


def _rest_between(stretch: Stretch) -> None:
    """`… each, 30 s to change`: behind all that is done, a rest lies between one member and the next."""
    if stretch.after and not stretch.off:
        stretch.off, stretch.off_span, stretch.after, stretch.after_span = stretch.after, stretch.after_span, 0, None
