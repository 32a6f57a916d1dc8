"""Lists of work: groups under their headings become the items of one list, written out where they are not simple rounds."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from app.rules.reading.drafts import Amount, Group, Stretch, Work
from app.rules.reading.talk import Span
from app.rules.reading.things import MOST_REPS, Things, needs_bar, own_weight
from app.rules.reading.versions.loaded_work import loadable
from app.rules.workout.presets.teams import in_turn
from app.rules.workout.tasks import FASTEST_TAPS, MOST_TAPS, WorkItem
from app.rules.workout.written_work import MOST_LINES, MOST_ROUNDS

EACH_CALORIE = "cal"  # the note of a line of which each tap is a calorie


@dataclass(frozen=True, slots=True)
class Listed:
    """A list as items and rounds; None for rounds: it starts again until the bell."""

    items: tuple[WorkItem, ...]
    rounds: int | None


def listed(things: Things, stretch: Stretch, seconds: int, endless: bool) -> Listed | None:
    """The list of a stretch. Endless: it begins again until the bell. None if nothing can be made of it."""
    groups = [group for group in stretch.groups if group.works]
    for group in groups:
        _as_many_sets_as_rounds(things, group)
    share_loads(things, groups)
    same_loads(things, groups)
    if not endless:
        _once_in_turn(things, stretch, groups)
    if endless:
        made = _endless(things, stretch, groups, seconds)
    elif len(groups) == 1 and not groups[0].scheme and not groups[0].role:
        made = _listed(_plain(things, groups[0]), groups[0].rounds)
    else:
        made = _listed(_written_out(things, groups, seconds), 1)
    if made is not None and not endless:
        made = _rounds_in_turn(things, groups, made)
    if made is None:
        return None
    if len(made.items) > MOST_LINES or (made.rounds or 1) > MOST_ROUNDS or sum(item.reps for item in made.items) > MOST_TAPS:
        things.talk.red(stretch.span or Span(0, 0), f"Written out, this is more than {MOST_LINES} lines, or too much work.")
        return None
    if not any(item.worth for item in made.items):
        things.talk.red(stretch.span or Span(0, 0), "No line of this list counts.")
        return None
    return made


def _as_many_sets_as_rounds(things: Things, group: Group) -> None:
    """`3 rounds of 21-15-9`: a set in each round; `5 rounds of 21-15-9` is something else, and `3 x 21-15-9` may be."""
    if not group.scheme or group.rounds_span is None:
        return
    if group.times:
        things.talk.red(group.rounds_span, "Whether this is a set each time, or all of them so often, is not clear.")
    elif group.rounds not in (1, len(group.scheme)):
        things.talk.red(group.rounds_span, f"The rounds are {group.rounds}, and the scheme has {len(group.scheme)} sets.")


def _listed(items: list[WorkItem], rounds: int | None) -> Listed | None:
    return Listed(tuple(items), rounds) if items else None


def _once_in_turn(things: Things, stretch: Stretch, groups: list[Group]) -> None:
    """`one works, one rests. For time: 100 burpees` is a hundred of each member, or of both together: it is asked. A full round
    of each says it, and so does a relay."""
    draft, span = things.draft, things.draft.style_span
    if things.draft.sharing != "TURNS" or (draft.members or 1) == 1 or span is None or stretch.each_does or not groups:
        return
    if "round" in things.talk.text[span.start : span.end].casefold() or any((group.rounds or 1) > 1 for group in groups):
        return
    answers = [("each", "Each does all of it, one after the other"), ("all", "They share it, one at work at a time")]
    if things.talk.ask("once", span, "Done once, in turn: by each of them, or shared?", answers) == "all":
        draft.style, draft.style_here = "SPLIT", "SPLIT" if draft.style_here else ""


def _rounds_in_turn(things: Things, groups: list[Group], made: Listed) -> Listed:
    """Ten rounds in turn are ten of each, or ten of all together: it is asked."""
    members, rounds = things.draft.members or 1, made.rounds or 1
    if things.draft.sharing not in ("TURNS", "RELAY") or members == 1 or rounds == 1 or rounds % members:
        return made
    span = groups[0].rounds_span
    answers = [("each", f"{rounds} of each member"), ("all", f"{rounds} in all, {rounds // members} of each member")]
    told = things.talk.ask("turns", span, f"{rounds} rounds in turn: of each, or in all?", answers)
    return replace(made, rounds=rounds // members) if told == "all" else made


def _endless(things: Things, stretch: Stretch, groups: list[Group], seconds: int) -> Listed | None:
    """Round after round; a ladder, and a list with something before the rounds, are written out as far as anybody could come."""
    for group in (one for one in groups if one.role == "cash-out"):
        things.talk.red(group.works[0].span, "What is done once after all rounds has no place where they go on until the bell.")
    step = ladder_step(things, stretch, groups)
    if step:
        return _listed(_ladder(things, groups[0], step, seconds), 1)
    once = [group for group in groups if group.role == "buy-in"]
    again = [group for group in groups if group.role != "buy-in"]
    items = _written_out(things, again, seconds)
    if not items:
        return None
    if not once:
        return Listed(tuple(items), None)
    before = _written_out(things, once, seconds)
    taps = sum(item.reps for item in items)
    often = min((MOST_LINES - len(before)) // len(items), max(1, seconds * FASTEST_TAPS // taps))
    return _listed(before + items * often, 1)


def ladder_step(things: Things, stretch: Stretch, groups: list[Group]) -> int:
    """How many more on each rung of a ladder; 0 where it is none."""
    if not groups or not (groups[0].open_end or stretch.adds):
        return 0
    if stretch.adds:
        return stretch.adds
    scheme = groups[0].scheme
    steps = {after - before for before, after in pairwise(scheme)}
    if len(steps) != 1 or min(steps) < 1:
        if groups[0].scheme_span:
            things.talk.red(groups[0].scheme_span, "How the ladder goes on is not clear.")
        return 0
    return steps.pop()


def _ladder(things: Things, group: Group, step: int, seconds: int) -> list[WorkItem]:
    """Rung after rung, as far as nobody could climb in the time: as the preset of a ladder writes it."""
    first = group.scheme[0] if group.scheme else 0
    works = group.works if group.scheme else [replace(work, amount=None) for work in group.works]
    if not first:
        counts = {work.amount.values[0] for work in group.works if work.amount and work.amount.kind == "reps"}
        if len(counts) != 1 or not next(iter(counts)).isdigit():
            things.talk.red(group.works[0].span, "A ladder begins with one number for everything in it.")
            return []
        first = int(counts.pop())
    rung = [things.item(work, first) for work in works]
    items: list[WorkItem] = []
    reps, taps = first, 0
    keys = [item for item in rung if item is not None]
    while keys and taps + reps * len(keys) <= min(seconds * FASTEST_TAPS, MOST_TAPS) and len(items) + len(keys) <= MOST_LINES:
        items += [item.model_copy(update={"reps": reps}) for item in keys]
        taps, reps = taps + reps * len(keys), reps + step
    return items


def _plain(things: Things, group: Group) -> list[WorkItem]:
    return _in_turn(things, [item for work in group.works if (item := things.item(work)) is not None])


def _in_turn(things: Things, items: list[WorkItem]) -> list[WorkItem]:
    if things.draft.sharing in ("TURNS", "RELAY") and (things.draft.members or 1) > 1:
        return list(in_turn(items, things.draft.members or 1))
    return items


def _rung_by_rung(things: Things, groups: list[Group]) -> list[Group]:
    """Two schemes with as many rungs, `40-30-20` of one thing and `10-8-6` of another: by turns, or one after the other?"""
    schemes = [group.scheme for group in groups]
    alike = len(groups) > 1 and len({len(scheme) for scheme in schemes}) == 1 and len(schemes[0]) > 1
    if not alike or any(group.role or group.open_end for group in groups):
        return groups
    answers = [("turns", "The first of each, then the second of each"), ("after", "All of the first, then all of the second")]
    told = things.talk.ask("schemes", groups[1].scheme_span, "Two schemes: how do they go together?", answers)
    if told == "after":
        return groups
    return [replace(group, scheme=(group.scheme[rung],)) for rung in range(len(schemes[0])) for group in groups]


def _written_out(things: Things, groups: list[Group], seconds: int) -> list[WorkItem]:
    groups = _rung_by_rung(things, groups)
    return _in_turn(things, [item for group in groups for item in _group(things, group, seconds)])


def _group(things: Things, group: Group, seconds: int) -> Iterator[WorkItem]:
    if group.role == "rest-of-time":
        yield from _rest_of_time(things, group, seconds)
        return
    if group.open_end:
        things.talk.red(
            group.scheme_span or group.works[0].span, "A ladder that goes on until the bell stands alone, under a time."
        )
        return
    rungs: list[int | None] = list(group.scheme) or [None] * min(group.rounds, MOST_LINES + 1)
    for reps in rungs:
        for work in group.works:
            item = things.item(work, reps)
            if item is not None:
                yield item


def _rest_of_time(things: Things, group: Group, seconds: int) -> Iterator[WorkItem]:
    """As many as possible of one thing after a list: a line with more than anybody can do, which is shown as
    such, not by its number (Format.goes_on)."""
    if len(group.works) != 1 or group.works[0].amount is not None:
        things.talk.red(group.works[0].span, "In the time that is left there is one thing, as many as possible.")
        return
    work = group.works[0]
    if work.most == "distance":
        things.talk.cannot(work.span, "Metres in the time that is left can't be said yet; repetitions and calories can.")
        return
    most = min(seconds * FASTEST_TAPS, MOST_REPS)
    item = things.item(work, most) if work.most != "calories" else _each_calorie(things, work, most)
    if item is not None:
        yield item


def _each_calorie(things: Things, work: Work, most: int) -> WorkItem | None:
    """`Max cal row in the time left`, behind a list: each calorie is a tap. That the judge taps along with the monitor is said,
    and agreed to."""
    said = "Calories behind a list are counted one by one: the judge taps each as the monitor shows it."
    things.talk.ask("calories", work.span, said, [("so", "Count them so")])
    item = things.item(replace(work, amount=Amount("calories", (str(most),), "CAL")))
    note = f"{most} {EACH_CALORIE}"
    return item and item.model_copy(update={"reps": most, "worth": 1, "note": (item.note or "").replace(note, EACH_CALORIE)})


def share_loads(things: Things, groups: list[Group]) -> None:
    """A load at the end of a line, `thrusters and deadlifts 43 kg`: whose it is, where another thing in the line has none."""
    for group in groups:
        for work, before in _loaded_after_bare(things, group):
            _share(things, work, before)
        for work, joined in _loaded_before_joined(group):
            _share(things, work, joined)


def _values(work: Work) -> tuple[str, ...]:
    return (*work.load.values, work.load.unit) if work.load else ()


def same_loads(things: Things, groups: list[Group]) -> None:
    """`27 thrusters (30 kg) … 21 thrusters`: a load that is told once goes for the same thing further down, and that is told."""
    told: dict[str, Work] = {}
    several: set[str] = set()
    for work in (work for group in groups for work in group.works):
        if work.load is not None and work.key:
            told.setdefault(work.key, work)
            if _values(told[work.key]) != _values(work):
                several.add(work.key)
        elif own_weight(work):
            continue
        elif work.key in several and loadable(work) and not work.rest:
            things.talk.red(work.span, "Which of its loads this has is not said.")
        elif work.key in told and loadable(work) and not work.rest:
            work.load = told[work.key].load
            things.talk.assume(f"{work.name}: its load is told once, and goes for all of them.", work.span)


def _loaded_after_bare(things: Things, group: Group) -> Iterator[tuple[Work, list[Work]]]:
    for place, work in enumerate(group.works):
        if work.load is None or not place:
            continue
        line_start = things.talk.text.rfind("\n", 0, work.span.start) + 1
        in_line = [one for one in group.works[:place] if one.span.start >= line_start]
        before = [one for one in in_line if one.load is None and needs_bar(one) and loadable(one)]
        if before and not any(one.load for one in in_line):
            yield work, before


def _loaded_before_joined(group: Group) -> Iterator[tuple[Work, list[Work]]]:
    """`5 power cleans 60 kg + 1 jerk`: what is joined to a thing by a plus, has a bar too, and no load of its own."""
    for place, work in enumerate(group.works):
        ends = next((at for at in range(place + 1, len(group.works)) if not group.works[at].joined), len(group.works))
        joined = group.works[place + 1 : ends]
        bare = [one for one in joined if one.load is None and needs_bar(one) and one.key != work.key and not own_weight(one)]
        if work.load is not None and bare and not any(one.load for one in joined):
            yield work, bare


def _share(things: Things, work: Work, before: list[Work]) -> None:
    assert work.load is not None
    said = things.talk.text[work.load.span.start : work.load.span.end]
    names = " and ".join(one.name for one in before)
    answers = [("all", f"For {names} and {work.name}"), ("last", f"For {work.name} alone"), ("others", f"For {names} alone")]
    if not needs_bar(work):
        answers = [answers[2], answers[1], answers[0]]
    told = things.talk.ask("load", work.load.span, f"“{said}”: for which of them?", answers)
    if told in ("all", "others"):
        for one in before:
            one.load = work.load
    if told == "others":
        work.load = None
