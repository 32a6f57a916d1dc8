"""Plain arithmetic before any solver: what shows at once that no plan can fit, and which number would have to change.

Each obstacle is proven: where none is found a plan may still be impossible, but where one is found it is. Common practice, no
source.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from app.rules.day.heats import Group, Problem
from app.rules.records.day import DayRules
from app.rules.records.judges import can_judge, minutes_of
from app.rules.values.clock_times import span_text
from app.rules.values.words import say


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why no plan can fit, and what to change, as a sentence; `field` is the number of the plan's form that it speaks of."""

    field: str
    sentence: str


def obstacles(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """Everything that makes a plan impossible by counting alone."""
    if not groups:
        return [Obstacle("events", "There is nothing to plan: no entry still needs a heat.")]
    found = [*_locks(problem, groups), *_day(problem, groups), *_breaks(problem, groups)]
    found += [*_rest(problem, groups), *_twins(problem, groups)]
    return found + (judge_obstacles(problem, groups) if problem.rules.with_judges else [])


def _locks(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """Choices to keep that can't be kept: of a heat that is not there, or of a time at which it can't run."""
    names = {event.id: event.name for event in problem.events}
    heats = {(group.event, group.name): group for group in groups}
    found = []
    for lock in problem.rules.locks:
        group = heats.get((lock.event, lock.group))
        where = f"a heat of {names.get(lock.event, 'an event that is gone')}"
        if group is None:
            found.append(Obstacle("locks", f"A kept choice is for {where} that no longer exists. Release it."))
            continue
        begin = minutes_of(lock.start) if lock.start else None
        free = free_stretches(problem.rules)
        if begin is not None and not any(start <= begin and begin + group.minutes <= end for start, end in free):
            found.append(
                Obstacle(
                    "locks", f"{where[:1].upper()}{where[1:]} is kept at {lock.start}, which is in a break or outside the day."
                )
            )
        if lock.entry is not None and lock.entry not in group.lanes.values():
            found.append(Obstacle("locks", f"A kept entry does not fit in {where}. Release it."))
    return found


def _day(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """The heats of each lane one after the other, with the least between them, against the hours of the day."""
    rules = problem.rules
    has = minutes_of(rules.end) - minutes_of(rules.start) - sum(_breaks_inside(rules))
    needs, heats = max(_work_of_lane(rules, groups, lane) for lane in _lanes_in_use(rules, groups))
    if needs <= has:
        return []
    sentence = (
        f"{say('plan.heats_take', n=heats, needs=span_text(needs))}; from {rules.start} to {rules.end} there are "
        f"{span_text(has)} without the breaks. End {span_text(needs - has)} later or start earlier, use more lanes, or shorten "
        "the changeover."
    )
    return [Obstacle("end", sentence)]


def _lanes_in_use(rules: DayRules, groups: Sequence[Group]) -> set[int]:
    return {lane for event in {group.event for group in groups} for lane in rules.of(event).lanes}


def _work_of_lane(rules: DayRules, groups: Sequence[Group], lane: int) -> tuple[int, int]:
    """The least minutes that a lane's heats take outside the breaks, and how many heats they are."""
    on = [group for group in groups if lane in rules.of(group.event).lanes]
    events = len({group.event for group in on})
    between = min(rules.changeover, rules.reset) if rules.take_turns else rules.changeover
    gaps = max(0, len(on) - events) * between + max(0, events - 1) * rules.reset
    # A break lies between two heats and holds whatever they need between them.
    gaps -= min(len(_breaks_inside(rules)), max(0, len(on) - 1)) * max(rules.changeover, rules.reset)
    return sum(group.minutes for group in on) + max(0, gaps), len(on)


def earliest_end(problem: Problem, groups: Sequence[Group]) -> int:
    """Before this minute of the day no plan can end: the busiest lane's work, laid into the stretches between breaks."""
    rules = problem.rules
    work = max((_work_of_lane(rules, groups, lane)[0] for lane in _lanes_in_use(rules, groups)), default=0)
    for start, end in free_stretches(rules):
        if work <= end - start:
            return start + work
        work -= end - start
    return minutes_of(rules.end) + work


def _breaks_inside(rules: DayRules) -> list[int]:
    """The minutes of each break that lie within the day."""
    start, end = minutes_of(rules.start), minutes_of(rules.end)
    inside = [min(end, minutes_of(one.end)) - max(start, minutes_of(one.start)) for one in rules.breaks]
    return [minutes for minutes in inside if minutes > 0]


def free_stretches(rules: DayRules) -> list[tuple[int, int]]:
    """The stretches of the day without a break, in minutes after midnight."""
    edges, start = [], minutes_of(rules.start)
    for one in sorted(rules.breaks, key=lambda one: one.start):
        edges.append((start, min(minutes_of(one.start), minutes_of(rules.end))))
        start = max(start, minutes_of(one.end))
    edges.append((start, minutes_of(rules.end)))
    return [(one, other) for one, other in edges if other > one] or [(minutes_of(rules.start), minutes_of(rules.start))]


def _breaks(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """A heat that is longer than any stretch between two breaks."""
    rules = problem.rules
    longest = max(end - start for start, end in free_stretches(rules))
    names = {event.id: event.name for event in problem.events}
    too_long = {group.event: group.minutes for group in groups if group.minutes > longest}
    return [
        Obstacle("breaks", f"A heat of {names[event]} takes {span_text(minutes)}, and no stretch between breaks is that long.")
        for event, minutes in too_long.items()
    ]


def _rest(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """The heats of the busiest athlete with the rest between them, against the hours of the day."""
    rules = problem.rules
    own: dict[str, list[int]] = defaultdict(list)
    members = {entry.id: entry.members for entry in problem.entries}
    for group in groups:
        for athlete in {member for entry in group.lanes.values() for member in members[entry]}:
            own[athlete].append(group.minutes)
    has = minutes_of(rules.end) - minutes_of(rules.start)
    worst = max(own.values(), key=lambda each: sum(each) + rules.rest * (len(each) - 1), default=[])
    needs = sum(worst) + rules.rest * max(0, len(worst) - 1)
    if needs <= has:
        return []
    most = (has - sum(worst)) // max(1, len(worst) - 1)
    way = f"a rest of at most {most} min" if most >= 0 else "fewer events"
    takes = f"with {rules.rest} min of rest that takes {span_text(needs)}; the day has {span_text(has)}."
    return [Obstacle("rest", f"An athlete has {say('list.heats', n=len(worst))}: {takes} The day needs {way}, or more time.")]


def _twins(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """Two entries of one athlete that can't be kept out of the same heat."""
    members = {entry.id: set(entry.members) for entry in problem.entries}
    names = {event.id: event.name for event in problem.events}
    events = {
        group.event for group in groups for one, other in combinations(group.lanes.values(), 2) if members[one] & members[other]
    }
    return [
        Obstacle("events", f"In {names[event]} an athlete has two entries in the same heat. Plan more heats for it.")
        for event in sorted(events)
    ]


def judge_obstacles(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """What makes it impossible that every lane gets a judge."""
    rules, here = problem.rules, [judge for judge in problem.judges if not judge.away]
    needed, lanes = _least_judges(rules, groups)
    if len(here) < needed:
        return [Obstacle("judge_work", _too_few(rules, lanes, needed, len(here)))]
    return _own_clubs(problem, groups, len(here)) + _hours(problem, groups)


def _least_judges(rules: DayRules, groups: Sequence[Group]) -> tuple[int, int]:
    """The judges that are needed for certain, and for how many lanes: those of one heat at once; and for an event whose heats
    follow one another, those of any `judge_of` heats, counted with the smallest of them."""
    most = max(len(group.lanes) for group in groups)
    best = (most, most)
    for sizes in _runs(rules, groups):
        whole, rest = divmod(len(sizes), rules.judge_of)
        each = whole * rules.judge_work + min(rules.judge_work, rest)
        over_all = -(-sum(sizes) // each)
        least = sum(sorted(sizes)[: rules.judge_of]) if whole else 0
        in_a_window = -(-least // rules.judge_work)
        lanes = -(-least // rules.judge_of) if in_a_window >= over_all else -(-sum(sizes) // len(sizes))
        best = max(best, (max(over_all, in_a_window), lanes))
    return best


def _runs(rules: DayRules, groups: Sequence[Group]) -> list[list[int]]:
    """Sizes of heats that follow one another without others between: the whole day, and each event where no other event may
    take turns with it or run beside it."""
    by_event: dict[str, list[int]] = defaultdict(list)
    for group in groups:
        by_event[group.event].append(len(group.lanes))
    lanes = [set(rules.of(event).lanes) for event in by_event]
    beside = any(not one & other for one, other in combinations(lanes, 2))
    everything = [len(group.lanes) for group in groups]
    return [everything] if rules.take_turns or beside else [*by_event.values(), everything]


def _too_few(rules: DayRules, lanes: int, needed: int, here: int) -> str:
    rest = rules.judge_of - rules.judge_work
    why = say("judges.needed", n=rest, lanes=lanes, of=rules.judge_of, needed=needed)
    fits = here * rules.judge_work // rules.judge_of
    ways = [say("judges.find", n=needed - here)]
    if fits >= 1:
        ways.append(say("judges.use_lanes", n=fits))
    if rest and here >= lanes:
        ways.append("give judges less rest")
    return f"{why}; {say('judges.here', n=here)} {_or(ways)}."


def _or(ways: Sequence[str]) -> str:
    text = ", or ".join(ways)
    return text[:1].upper() + text[1:]


def _own_clubs(problem: Problem, groups: Sequence[Group], here: int) -> list[Obstacle]:
    """A heat with more lanes of one club than there are judges of others."""
    if problem.rules.own_club:
        return []
    of_club = Counter(judge.club for judge in problem.judges if judge.club and not judge.away)
    clubs = {entry.id: entry.clubs for entry in problem.entries}
    for group in groups:
        lanes = Counter(club for entry in group.lanes.values() for club in set(clubs[entry]))
        for club, several in lanes.items():
            if here - of_club[club] < several:
                sentence = (
                    f"A heat has {say('lanes', n=several)} of one club, and {say('plan.own_club', n=here - of_club[club])}. "
                    "Find judges from elsewhere, share heats between divisions, or let judges judge their own club."
                )
                return [Obstacle("own_club", sentence)]
    return []


def _hours(problem: Problem, groups: Sequence[Group]) -> list[Obstacle]:
    """The minutes that judges are here for, against the minutes of all lanes."""
    rules = problem.rules
    start, end = minutes_of(rules.start), minutes_of(rules.end)
    here = sum(5 for judge in problem.judges for minute in range(start, end, 5) if can_judge(judge, minute, min(minute + 5, end)))
    needs = sum(group.minutes * len(group.lanes) for group in groups)
    if needs <= here:
        return []
    return [
        Obstacle(
            "judge_work",
            f"All lanes together take {span_text(needs)} of judging; the judges' hours add up to {span_text(here)}. "
            "Find more judges, or ask them to stay longer.",
        )
    ]
