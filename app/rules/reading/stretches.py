"""Stretches of time become windows on the heat clock and tasks."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from app.rules.reading.clock import Clock, Done, shared_by
from app.rules.reading.counted_windows import COUNTS, every_so_often, held_beside, in_a_cycle, most_task, one_after_another
from app.rules.reading.drafting.member_windows import from_member_to_member
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.each_member import each_in_turn
from app.rules.reading.lifts_or_complex import lifts_or_complex
from app.rules.reading.lifts_said import lift_windows
from app.rules.reading.lists import listed
from app.rules.reading.rounds_last import rounds_of_this_version, rounds_told_last
from app.rules.reading.tails import with_a_tail
from app.rules.reading.talk import Span
from app.rules.reading.things import Things, needs_bar
from app.rules.values.clock_times import minutes_text
from app.rules.workout.tasks import ListTask

CAPS = (600, 720, 900, 1200)


def on_the_clock(things: Things) -> Clock:
    """Every stretch of a draft on the clock, in order."""
    clock = Clock(things)
    rounds_of_this_version(things)
    _time_told_last(things)
    from_member_to_member(things)
    _lifts_apart(things)
    lifts_or_complex(things)
    rounds_told_last(things)
    each_in_turn(things)
    stretches = [
        one
        for one in things.draft.stretches
        if one.works or one.rest_only or one.kind or one.group.rounds > 1 or one.seconds or one.start is not None
    ]
    for stretch in stretches[:-1]:
        _rest_before_what_follows(things, stretch)
    for stretch in stretches:
        _rest_between_groups(things, stretch)
    for place, stretch in enumerate(stretches):
        if stretch.start is not None:
            if stretch.start < clock.at:
                things.talk.red(
                    stretch.span or Span(0, 0), f"It begins before {minutes_text(clock.at)}, when the one before it ends."
                )
            elif stretch.start_minute and stretch.start - 60 == clock.at:
                told = f"Whether it begins at {minutes_text(clock.at)} or a minute later is not clear."
                things.talk.red(stretch.start_minute, told)
            clock.at = max(stretch.start, clock.at)
        _on_the_clock(clock, stretch)
        clock.compare_end(stretch)
        if place < len(stretches) - 1:
            clock.rest(stretch, stretch.after, stretch.after_span)
    if things.draft.cap_span and not clock.capped:
        things.talk.red(things.draft.cap_span, "There is nothing that this could cap.")
    clock.compare_totals(stretches)
    return clock


def _rest_before_what_follows(things: Things, stretch: Stretch) -> None:
    """`21-15-9 …, rest 2:00, then …`: whether the rest is taken in each round or parts the list from what follows is asked."""
    group = next((one for one in reversed(stretch.groups) if one.works), None)
    if group is None or stretch.after or not _rests_after_all(things, group):
        return
    last = group.works.pop()
    stretch.after, stretch.after_span = last.rest, last.span


def _rest_between_groups(things: Things, stretch: Stretch) -> None:
    """`3 rounds of …. Rest 1 min. 3 rounds of …`, in one list: the same question."""
    made: list[Group] = []
    for place, group in enumerate(stretch.groups):
        follows = any(one.works for one in stretch.groups[place + 1 :])
        rest = [group.works.pop()] if follows and _rests_after_all(things, group) else []
        made += [group, *([Group(works=rest)] if rest else [])]
    stretch.groups = made


def _rests_after_all(things: Things, group: Group) -> bool:
    """Whether the rest at the end of rounds or sets is taken once after all of them, as it is answered."""
    last = group.works[-1] if group.works else None
    if last is None or not last.rest or len(group.works) < 2 or group.label is not None or not (group.rounds > 1 or group.scheme):
        return False
    words = f"A rest of {minutes_text(last.rest)}: in each round, or once after all?"
    answers = (("after", "Once, before what follows"), ("each", "In each round"))
    return things.talk.ask("rest", last.span, words, answers) == "after"


def _lifts_apart(things: Things) -> None:
    """`10 min back squat, 5 min rest, 10 min deadlift`, where the loads are added up: each is a lift in a time of its own."""
    if not {take for take, _ in things.draft.takes} & {"T_LOAD", "T_LOADS"}:
        return
    made: list[Stretch] = []
    for stretch in things.draft.stretches:
        works = stretch.works
        lifts = [one for one in works if not one.rest]
        timed = all(
            one.amount and one.amount.kind == "time" and needs_bar(one) and not one.load and not one.most for one in lifts
        )
        if (
            not lifts
            or not timed
            or stretch.kind
            or stretch.seconds
            or any(one.rounds > 1 or one.scheme for one in stretch.groups)
        ):
            made.append(stretch)
            continue
        for work in works:
            if work.rest and made:
                made[-1].after, made[-1].after_span = work.rest, work.span
            elif work.amount is not None:
                seconds, work.amount = int(work.amount.values[0]), None
                one = Stretch("lift", [*stretch.headings, work.span], seconds, groups=[Group(works=[work])], who=stretch.who)
                made.append(replace(one, after=stretch.after if work is lifts[-1] else 0, after_span=stretch.after_span))
    things.draft.stretches[:] = made


def _time_told_last(things: Things) -> None:
    """`4 rounds of …. You have 13 minutes.`: a time that nothing follows is that of the list before it."""
    told = things.draft.stretches
    if len(told) < 2:
        return
    before, last = told[-2], told[-1]
    plain = before.kind == "" and all(one.rounds == 1 and not one.scheme for one in before.groups)
    headed = last.kind in ("", "time") or (last.kind == "amrap" and plain)  # a list, and below it `AMRAP 11 min`
    empty = last.seconds and not last.works and not last.rest_only and headed and last.start is None
    if not empty or before.seconds is not None or before.kind not in ("", "time", "amrap") or not before.works:
        return
    if things.draft.cap != last.seconds:  # said twice
        before.seconds, before.kind = last.seconds, before.kind or last.kind
    before.spans += last.spans
    told.pop()


def _on_the_clock(clock: Clock, stretch: Stretch) -> None:
    if stretch.rest_only:
        clock.rest(stretch, stretch.seconds or 0)
        return
    if not stretch.works:
        clock.things.talk.red(stretch.span or Span(0, 0), "There is no work under this heading.")
        return
    if stretch.round_off and not stretch.stations:
        if len(stretch.works) > 1 and not any(one.amount or one.rest for one in stretch.works):
            stretch.stations = len(stretch.works)  # a rest after each round: a round is one window of each
        else:
            if stretch.off not in (0, stretch.round_off):  # `rest 37, 1 min between rounds`
                clock.things.talk.red(stretch.off_span or Span(0, 0), "Two rests are told of the same rounds.")
            stretch.off, stretch.round_off = stretch.round_off, 0
    kind = _kind(clock, stretch)
    if stretch.alternates and kind in ("amrap", "time", "lift"):
        clock.things.talk.red(stretch.span or Span(0, 0), "What is done in turn here, and by whom, is not clear.")
    before = len(clock.windows)
    clock.things.held = held_beside(clock, stretch) if len(stretch.works) > 1 else None
    clock.draft.style_here = stretch.style
    tasks = MADE_BY[kind](clock, stretch)
    clock.things.held, clock.draft.style_here = None, ""
    _nothing_passed_over(clock, stretch, len(clock.windows) - before)
    made = [number for number in range(before, len(clock.windows)) if clock.windows[number].task]
    if tasks:
        clock.done.append(Done(kind, tuple(dict.fromkeys(tasks)), tuple(made), stretch))


def _nothing_passed_over(clock: Clock, stretch: Stretch, windows: int) -> None:
    """A rest that lies between nothing, and a heading without work under it."""
    red = clock.things.talk.red
    if stretch.off and windows < 2 and stretch.off_span:
        red(stretch.off_span, "Between what this rest lies is not clear.")
    for group in stretch.groups:
        if not group.works and (group.role or group.rounds > 1 or group.scheme or group.label is not None):
            red(group.rounds_span or group.scheme_span or stretch.span or Span(0, 0), "There is no work under this heading.")


def _kind(clock: Clock, stretch: Stretch) -> str:
    """What kind of stretch it is where no heading says so."""
    works, talk = stretch.works, clock.things.talk
    if _for_load(clock, stretch):
        return "lift"
    numbered = stretch.stations == len(works) > 2
    if stretch.kind == "windows" and any(work.amount for work in works if not work.rest) and not _most(works) and not numbered:
        return _ends(clock, stretch)
    if stretch.kind:
        return stretch.kind
    once = all(group.rounds == 1 for group in stretch.groups)
    timed = [work for work in works if work.amount and work.amount.kind == "time"]
    if len(timed) + sum(bool(work.rest) for work in works) == len(works) and timed and len(stretch.groups) == 1:
        return "cycle"
    bare = [work for work in works if work.amount is None and not work.rest]
    if stretch.seconds and len(works) == 1 and bare and once and not stretch.group.scheme:
        talk.assume(f"{works[0].name}: as many as possible.", works[0].span)
        return "windows"
    takes = {take for take, _ in clock.draft.takes}
    timed_list = stretch.seconds and not stretch.capped and clock.draft.cap is None and stretch.group.rounds == 1
    if timed_list and takes & {"T_ROUNDS", "ROUND"} and "T_TIME" not in takes:
        return "amrap"
    if stretch.capped or clock.draft.cap is not None or any(take == "T_TIME" for take, _ in clock.draft.takes):
        return "time"
    return _ends(clock, stretch)


def _for_load(clock: Clock, stretch: Stretch) -> bool:
    """Lifts without a load in a time, where the load is the score: one, or several as a complex (`clean + 2 front squats`)."""
    works, takes = stretch.works, {take for take, _ in clock.draft.takes}
    if stretch.kind not in ("", "windows", "every") or not (stretch.seconds or clock.draft.cap):
        return False
    once = all(group.rounds == 1 and not group.scheme and group.label is None for group in stretch.groups)
    once = once and (stretch.kind == "every" or not stretch.count) and not stretch.adds
    lifts = all(needs_bar(work) and work.load is None and not work.most and not work.rest for work in works)
    complex_ = len(works) > 1 and all(work.joined for work in works[1:])
    one_each = stretch.kind == "every" and len(works) == 1
    if not (once and lifts and works and (complex_ or one_each or all(work.amount is None for work in works))):
        return False
    if takes & {"T_LOAD", "T_LOADS"}:
        if stretch.kind == "every":
            _one_each_time(clock, stretch)
        return True
    if stretch.kind == "every" or takes - {"T_BEST", "T_SUM"} or complex_ or len(works) > 1:
        return False
    answers = [("load", "As heavy as possible"), ("reps", "As many as possible")]
    asked = f"{works[0].name} without a load: as heavy, or as many as possible?"
    return clock.things.talk.ask("heavy", works[0].span, asked, answers) == "load"


def _one_each_time(clock: Clock, stretch: Stretch) -> None:
    """`Every 90 s for 9 minutes: 1 clean + 1 jerk`, and the load counts: one attempt in each of the windows."""
    talk, seconds = clock.things.talk, stretch.seconds or 60
    if stretch.total is not None:
        often, rest = divmod(stretch.total, seconds)
        if rest or stretch.count not in (None, often):
            total, each = minutes_text(stretch.total), minutes_text(seconds)
            talk.red(stretch.span or Span(0, 0), f"{total} can't be split into so many windows of {each} each.")
        stretch.count = max(1, often)
    elif stretch.count is None:
        stretch.count = talk.count("often", stretch.span, "How often, or until when, is not said.", COUNTS)
    if stretch.puts_out:
        stretch.misses_out, stretch.puts_out = 1, False
    if stretch.attempts is None:
        stretch.attempts = 1
        talk.assume("Every so often one attempt: each window has one.", stretch.span)


def _ends(clock: Clock, stretch: Stretch) -> str:
    filled = [group for group in stretch.groups if group.works]
    if stretch.until_bell or (len(filled) == 1 and filled[0].open_end and filled[0].scheme):
        return "amrap"
    if any(group.role == "rest-of-time" for group in stretch.groups):
        return "time"
    if stretch.kind == "windows" and (stretch.count or 1) > 1:
        return _ends_of_each(clock, stretch)
    span = stretch.span
    answers = [("time", "For time: the finish time counts"), ("bell", "Until the bell: what is done counts")]
    told = clock.things.talk.ask("ends", span, "How the list ends is not said.", answers)
    return "time" if told == "time" else "amrap"


def _ends_of_each(clock: Clock, stretch: Stretch) -> str:
    """How the list of several windows ends in each of them."""
    span, takes = stretch.span, clock.draft.takes
    answers = [
        ("bell", "Round after round, until the bell of each window"),
        ("once", "Once in each window: what is done counts"),
        ("time", "Once in each window: its finish time counts, and all are added up"),
    ]
    told = clock.things.talk.ask("ends", span, f"How the list ends in each of the {stretch.count} windows is not said.", answers)
    if told == "bell":
        return "amrap"
    stretch.listed = True
    if told == "time" and not any(take == "T_TIME" for take, _ in takes):
        takes += [(take, span or Span(0, 0)) for take in ("T_TIME", "T_SUM")]
    return "windows"


def _most(works: list[Work]) -> bool:
    return any(work.most for work in works)


def _spans(stretch: Stretch) -> tuple[Span, ...]:
    return tuple(stretch.spans)


def _amrap(clock: Clock, stretch: Stretch) -> list[str]:
    span, talk = stretch.span, clock.things.talk
    seconds = clock.length(stretch)
    if seconds is None:
        seconds = talk.seconds("long", span, "How long it lasts is not said.", CAPS)
    who = shared_by(clock, stretch)
    single = stretch.works[0] if len(stretch.works) == 1 and stretch.works[0].amount is None else None
    if single is not None:
        task = most_task(clock, stretch, single, clock.draft.sharing == "SYNC")
        key = clock.task("work", task) if task else None
    else:
        made = listed(clock.things, stretch, seconds, endless=not stretch.once)
        key = clock.task("work", ListTask(items=made.items, rounds=made.rounds)) if made else None
    if key is None:
        return []
    for number in range(stretch.count or 1):
        if number:
            clock.rest(stretch, stretch.off, stretch.off_span)
        clock.window(stretch, seconds, key, _spans(stretch), who)
    return [key]


def _for_time(clock: Clock, stretch: Stretch) -> list[str]:
    span, talk = stretch.span, clock.things.talk
    if stretch.most_span:
        talk.red(stretch.most_span, "What is done as often as possible, and for how long, is not said.")
    tail = any(group.role == "rest-of-time" for group in stretch.groups)
    seconds = clock.length(stretch)
    if seconds is None:
        asked = "How long it lasts is not said." if tail else "The time cap is not said."
        seconds = talk.seconds("cap", span, asked, CAPS)
    if stretch.off:
        _rest_between_rounds(clock, stretch)
    who = shared_by(clock, stretch)
    made = listed(clock.things, stretch, seconds, endless=False)
    if made is None:
        return []
    if tail and span:
        made = with_a_tail(clock, stretch, made)
    key = clock.task("work", ListTask(items=made.items, rounds=made.rounds))
    clock.window(stretch, seconds, key, _spans(stretch), who)
    return [key]


def _rest_between_rounds(clock: Clock, stretch: Stretch) -> None:
    """A rest between the rounds of a list for time stands in the list as a line."""
    group = stretch.group
    if group.rounds < 2 or len(stretch.groups) > 1:
        clock.things.talk.red(stretch.span or Span(0, 0), "Between what the rest lies is not clear.")
        return
    span = stretch.span or Span(0, 0)
    said = f"{minutes_text(stretch.off)} of rest between the rounds: the clock goes on, and a line of the list stands for it."
    clock.things.talk.ask("rest", span, said, [("line", "Put it so")])
    rest = Work("Rest", "", True, span, span, rest=stretch.off)
    rounds, works = group.rounds, list(group.works)
    stretch.groups = [Group(rounds=rounds - 1, works=[*works, rest]), Group(works=works)]
    stretch.off = 0


MADE_BY: Mapping[str, Callable[[Clock, Stretch], list[str]]] = {
    "amrap": _amrap,
    "time": _for_time,
    "every": every_so_often,
    "windows": one_after_another,
    "cycle": in_a_cycle,
    "lift": lift_windows,
}
