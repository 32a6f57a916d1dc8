"""Whether a heat plan keeps every rule: looked at from nothing but the plan, sharing no function with what made it.

Everything is counted here in its own way, minute by minute where that is plainest. Common practice, no source.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from app.rules.day.heats import PlannedHeat, Problem, Spot


def broken_rules(problem: Problem, plan: Sequence[PlannedHeat], late: bool = False) -> list[str]:
    """Every rule that the plan breaks, as sentences; empty for a plan that is right.

    `plan` holds all heats of the day, the started ones too. `late`: the day runs behind its plan, so breaks may have moved later
    and become shorter, and the day may end later.
    """
    heats = sorted(plan, key=lambda heat: (heat.start, heat.event, heat.number))
    found = [*_entries(problem, heats), *_lanes(problem, heats), *_times(problem, heats, late), *_athletes(problem, heats)]
    if not late:
        found += _locks(problem, heats)
    return found + (list(_judges(problem, heats)) if problem.rules.with_judges else [])


def _name(problem: Problem, heat: PlannedHeat) -> str:
    return f"{problem.called(heat.event)}, heat {heat.number}"


def _clock(text: str) -> int:
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def _entries(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """Every entry stands in each of its events once, and no heat number of an event comes twice. Who has been on the floor has:
    an entry that does an event no more is asked about in the heats that are still to come. A rerun is one more for each."""
    coming = {(heat.event, spot.entry) for heat in heats if not heat.done for spot in heat.spots}
    stands = Counter((heat.event, spot.entry) for heat in heats for spot in heat.spots)
    wanted = {(event.id, entry) for event in problem.events for entry in event.order}
    for event, entry in sorted(wanted - set(stands)):
        yield f"{problem.called(entry)} is in no heat of {problem.called(event)}."
    for (event, entry), times in sorted(stands.items()):
        if (event, entry) in coming - wanted:
            yield f"{problem.called(entry)} is in a heat of {problem.called(event)}, which is not theirs."
        elif times > 1 + problem.again.count((event, entry)):
            yield f"{problem.called(entry)} is in {times} heats of {problem.called(event)}."
    for (event, number), times in Counter((heat.event, heat.number) for heat in heats).items():
        if times > 1:
            yield f"{problem.called(event)} has {times} heats with the number {number}."
    for event_plan in problem.events:
        numbers = [heat.number for heat in heats if heat.event == event_plan.id]
        if numbers != sorted(numbers):
            yield f"The heats of {event_plan.name} do not run in number order."


def _lanes(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """One entry on a lane; only lanes that the event's equipment stands on; no more at once than there is equipment for."""
    for heat in heats:
        how = next((one for one in problem.rules.events if one.event == heat.event), None)
        lanes = [spot.lane for spot in heat.spots]
        if not lanes:
            yield f"{_name(problem, heat)} is empty."
        if len(lanes) != len(set(lanes)):
            yield f"{_name(problem, heat)} has two entries on one lane."
        if how is None or heat.done:
            continue
        if any(not how.first_lane <= lane <= how.last_lane for lane in lanes):
            yield f"{_name(problem, heat)} uses a lane that its event does not have."
        if how.most is not None and len(lanes) > how.most:
            yield f"{_name(problem, heat)} has {len(lanes)} entries at once; there is equipment for {how.most}."
        if how.apart and len({e.division for e in problem.entries if e.id in {s.entry for s in heat.spots}}) > 1:
            yield f"{_name(problem, heat)} mixes divisions."


def _times(problem: Problem, heats: Sequence[PlannedHeat], late: bool) -> Iterator[str]:
    """Within the day and outside its breaks; long enough; the floor cleared between heats of one lane."""
    rules = problem.rules
    minutes = {event.id: event.minutes for event in problem.events}
    for heat in heats:
        if heat.done:
            continue
        if heat.start < _clock(rules.start) or (not late and heat.start + heat.minutes > _clock(rules.end)):
            yield f"{_name(problem, heat)} runs outside the day."
        if heat.minutes < minutes.get(heat.event, 0):
            yield f"{_name(problem, heat)} is shorter than its event."
        if not late and heat.start % rules.step != _clock(rules.start) % rules.step and not _held(problem, heat):
            yield f"{_name(problem, heat)} does not start on a multiple of {rules.step} min."
    yield from _break_times(problem, heats, late)
    yield from _changeovers(problem, heats)
    if not rules.take_turns:
        yield from _one_event_after_another(problem, heats)


def _held(problem: Problem, heat: PlannedHeat) -> bool:
    return any(lock.event == heat.event and lock.group == heat.group and lock.start for lock in problem.rules.locks)


def _break_times(problem: Problem, heats: Sequence[PlannedHeat], late: bool) -> Iterator[str]:
    for one in problem.rules.breaks:
        start, end = _clock(one.start), _clock(one.end)
        if not late:
            for heat in heats:
                if not heat.done and heat.start < end and heat.start + heat.minutes > start:
                    yield f"{_name(problem, heat)} runs into {one.name}."
            continue
        least = end - start if one.least is None else min(one.least, end - start)
        busy = {m for heat in heats for m in range(heat.start, heat.start + heat.minutes)}
        last = max((heat.start + heat.minutes for heat in heats), default=start)
        if not any(all(m not in busy for m in range(at, at + least)) for at in range(start, max(start, last) + 1)):
            yield f"{one.name} has less than {least} min without a heat."


def _changeovers(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    rules = problem.rules
    on: dict[int, list[PlannedHeat]] = defaultdict(list)
    for heat in heats:
        lanes = {spot.lane for spot in heat.spots}
        how = next((one for one in rules.events if one.event == heat.event), None)
        for lane in lanes | (set(range(how.first_lane, how.last_lane + 1)) if how else set()):
            on[lane].append(heat)
    told: set[tuple[str, str]] = set()
    for lane in sorted(on):
        for before, after in pairwise(on[lane]):
            names = (_name(problem, before), _name(problem, after))
            needed = rules.changeover if before.event == after.event else rules.reset
            gap = after.start - before.start - before.minutes
            if gap < needed and names not in told and not (before.done and after.done):
                told.add(names)
                yield f"Between {names[0]} and {names[1]} there are {gap} min; lanes need {needed}."


def _one_event_after_another(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    lanes = {one.event: set(range(one.first_lane, one.last_lane + 1)) for one in problem.rules.events}
    place = {event.id: n for n, event in enumerate(problem.events)}
    for n, earlier in enumerate(heats):
        for later in heats[n + 1 :]:
            wrong = place.get(earlier.event, 0) > place.get(later.event, 0)
            if wrong and not later.done and lanes.get(earlier.event, set()) & lanes.get(later.event, set()):
                yield f"{_name(problem, earlier)} runs before {_name(problem, later)}: the events don't alternate."


def _athletes(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """Nobody at two places at once, and the least rest from one heat to the next."""
    members = {entry.id: entry.members for entry in problem.entries}
    own: dict[str, list[tuple[PlannedHeat, str]]] = defaultdict(list)
    for heat in heats:
        for spot in heat.spots:
            for athlete in members.get(spot.entry, ()):
                own[athlete].append((heat, spot.entry))
    for athlete, theirs in sorted(own.items()):
        for (before, _), (after, _) in pairwise(theirs):
            rest = after.start - before.start - before.minutes
            if before is after:
                yield f"{problem.called(athlete)} is on two lanes of {_name(problem, before)}."
            elif rest < problem.rules.rest and not (before.done and after.done):
                who = problem.called(athlete)
                yield f"{who} has {rest} min of rest before {_name(problem, after)}; the rule is {problem.rules.rest}."


def _judges(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """A judge for every lane, who is here, is no judge of the own club, is at one place, and rests."""
    judges = {judge.id: judge for judge in problem.judges}
    clubs = {entry.id: set(entry.clubs) for entry in problem.entries}
    for heat in (heat for heat in heats if not heat.done):
        for spot in heat.spots:
            judge = judges.get(spot.judge or "")
            if judge is None:
                yield f"Lane {spot.lane} of {_name(problem, heat)} has no judge."
                continue
            if judge.away:
                yield f"{judge.name} is away but on lane {spot.lane} of {_name(problem, heat)}."
            spans = [(_clock(hours.start), _clock(hours.end)) for hours in judge.hours] or [(0, 48 * 60)]
            if not any(start <= heat.start and heat.start + heat.minutes <= end for start, end in spans):
                yield f"{judge.name} is not here for {_name(problem, heat)}."
            if judge.club in clubs.get(spot.entry, set()) and judge.club and not problem.rules.own_club:
                yield f"{judge.name} judges their own club on lane {spot.lane} of {_name(problem, heat)}."
        for judge_id, times in Counter(spot.judge for spot in heat.spots if spot.judge).items():
            if times > 1:
                yield f"{_judge_name(problem, judge_id)} stands on {times} lanes of {_name(problem, heat)}."
    yield from _judges_between_heats(problem, heats)
    yield from _judges_who_compete(problem, heats)


def _judges_who_compete(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """Nobody judges while they compete."""
    members = {entry.id: entry.members for entry in problem.entries}
    for judge, athlete in problem.both:
        judging = [heat for heat in heats if any(spot.judge == judge for spot in heat.spots)]
        competing = [heat for heat in heats if any(athlete in members.get(spot.entry, ()) for spot in heat.spots)]
        for one in judging:
            for other in competing:
                apart = one.start + one.minutes <= other.start or other.start + other.minutes <= one.start
                if not apart and not (one.done and other.done):
                    yield f"{_judge_name(problem, judge)} judges {_name(problem, one)} and competes in {_name(problem, other)}."


def _judges_between_heats(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    works = [{spot.judge for spot in heat.spots if spot.judge} for heat in heats]
    for n, heat in enumerate(heats):
        for m in range(n + 1, len(heats)):
            if heats[m].start >= heat.start + heat.minutes or (heat.done and heats[m].done):
                continue
            for judge in sorted(works[n] & works[m], key=str):
                yield f"{_judge_name(problem, judge)} judges {_name(problem, heat)} and {_name(problem, heats[m])} at once."
    work, of = problem.rules.judge_work, problem.rules.judge_of
    for n in range(len(heats) - of + 1):
        if all(heat.done for heat in heats[n : n + of]):
            continue
        counted = Counter(judge for those in works[n : n + of] for judge in those)
        for judge, times in sorted(counted.items(), key=str):
            if times > work:
                yield f"{_judge_name(problem, judge)} judges {times} of the {of} heats from {_name(problem, heats[n])} on."


def _judge_name(problem: Problem, key: str | None) -> str:
    return next((judge.name for judge in problem.judges if judge.id == key), str(key))


def judge_loads(problem: Problem, plan: Sequence[PlannedHeat]) -> dict[str, int]:
    """How many lanes each judge who is here has, so that anybody can see whether the load is fair."""
    loads = Counter(spot.judge for heat in plan for spot in heat.spots if spot.judge)
    return {judge.id: loads[judge.id] for judge in problem.judges if not judge.away}


def _locks(problem: Problem, heats: Sequence[PlannedHeat]) -> Iterator[str]:
    """Every choice that was to be kept."""
    for lock in problem.rules.locks:
        heat = next((heat for heat in heats if (heat.event, heat.group) == (lock.event, lock.group)), None)
        if heat is None:
            yield f"The heat {lock.group} of {lock.event}, of which a choice was to be kept, is not there."
            continue
        spot = next((spot for spot in heat.spots if spot.entry == lock.entry), None)
        if lock.start is not None and heat.start != _clock(lock.start):
            yield f"{_name(problem, heat)} was to start at {lock.start}."
        if lock.entry is not None and (spot is None or (lock.lane is not None and spot.lane != lock.lane)):
            yield f"Entry {lock.entry} was to be in {_name(problem, heat)}{f', lane {lock.lane}' if lock.lane else ''}."
        if lock.judge is not None and not _judge_kept(heat.spots, lock.entry, lock.lane, lock.judge):
            yield f"{_judge_name(problem, lock.judge)} was to judge in {_name(problem, heat)}."


def _judge_kept(spots: Sequence[Spot], entry: str | None, lane: int | None, judge: str) -> bool:
    return any(
        spot.judge == judge and (lane is None or spot.lane == lane) and (entry is None or spot.entry == entry) for spot in spots
    )
