"""The lanes of a wall screen: what each holds, how far it has come, who leads in the heat and by how much."""

import json
from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from app.hall.going_past import apart_text
from app.live.projection import Place
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.sheets import variant_key
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.marks import Mark, body_load
from app.rules.records.roster import Roster
from app.rules.result.scoring import Score
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, ListTask
from app.rules.workout.movements import shown_name
from app.rules.workout.plates import Kit, Side, kit_of, ways
from app.watch.board_floor import LaneView
from app.watch.board_lifts import LiftsView
from app.watch.wall_views import GroupView, PlateView, WallLane, WallLifts


def wall_lane(
    roster: Roster,
    place: Place,
    shown: LaneView,
    tally: Tally,
    made: Score | None,
    marks: Sequence[Mark],
    club: str,
    picture: str = "",
) -> WallLane:
    """A lane as a wall shows it. `shown` is the board's view of it, `made` its score so far, None while it is not judged yet,
    `marks` those of its sheets."""
    done, whole = _progress(place.format, made, tally)
    return WallLane(
        id=shown.id,
        lane=shown.lane,
        entry=shown.entry,
        division=shown.division,
        variant=shown.variant,
        members=tuple(member.name for member in shown.members),
        club=club,
        colours=shown.colours,
        score=shown.score,
        counts=tuple(json.loads(shown.counts)),
        work=tuple(_under_way(place.format, window) for window in tally.windows),
        done=done,
        whole=whole,
        stopped=shown.stopped,
        lifts=tuple(_lifts(roster, place, lifts, tally.windows[lifts.window], marks) for lifts in shown.lifts),
        picture=picture,
    )


def _progress(format: Format, made: Score | None, tally: Tally) -> tuple[float | None, float | None]:
    """How far a lane has come: of all the work of a list for time; else its score, where more is better."""
    rule = format.scores[0]
    lists = [index for part in rule.parts if part.take == "time" for index in format.window_indexes(part)]
    if lists:
        tasks = [format.tasks[format.windows[index].task or ""] for index in lists]
        whole = sum(task.work_in_round * (task.rounds or 1) for task in tasks if isinstance(task, ListTask))
        lacking = [tally.windows[index] for index in lists if tally.windows[index].finish_ms is None]
        untouched = any(window.left is None for window in lacking)
        return (0.0 if untouched else float(whole - sum(window.left or 0 for window in lacking))), float(whole)
    return (None, None) if rule.better == "less" else (float(max(Fraction(0), made.value if made else Fraction(0))), None)


def _under_way(format: Format, window: WindowTally) -> str:
    """The line of a work list under way: `7 Step-ups`, without a number where it is for as many as possible; empty for other work
    and when all is done."""
    key = format.windows[window.index].task or ""
    task = format.tasks.get(key)
    if not isinstance(task, ListTask) or window.finish_ms is not None:
        return ""
    found = task.under_way(len(window.reps))
    if found is None:
        return ""
    name = shown_name(found[1].called(format.movements))
    return name if format.goes_on(key, found[1]) else f"{found[2]} {name}"


def _lifts(roster: Roster, place: Place, shown: LiftsView, window: WindowTally, marks: Sequence[Mark]) -> WallLifts:
    at = {mark.id: mark for mark in marks}
    declared, begun = at.get(window.declaration or ""), at.get(window.begun or "")
    task = place.format.tasks[place.format.windows[shown.window].task or ""]
    load = body_load(declared.body) if declared else None
    plates = _plates(roster, place.assignment.lane, task, load) if load is not None and isinstance(task, LiftTask) else ()
    last = window.lifts[-1] if window.lifts else None
    if last is not None and last.doubt == "waiting":
        return WallLifts(shown, plates, begun.at if begun else last.at, None)
    return WallLifts(shown, plates, begun.at if begun else None, _decided_at(last, marks) if last else None)


def _decided_at(last: LiftTally, marks: Sequence[Mark]) -> int:
    """When the last of the judges decided a try, in ms on the heat clock: until then nobody in the hall knew what it came to."""
    told = (mark.at for mark in marks if mark.kind == "lift" and last.lights and mark.body.get("declared") == last.declared)
    return max([last.at, *told])


def _plates(roster: Roster, lane: int, task: LiftTask, load: Load) -> tuple[PlateView, ...]:
    """One side of the lane's bar with this load, as the lane's plates make it first."""
    given = next((one.plates for one in roster.lane_plates if one.lane == lane), None)
    plates = next((one for one in roster.plate_sets if one.id == given), None)
    if plates is None:
        return ()
    kit = kit_of(plates, task)
    kinds = [kit.kinds[number] for number in _first_way(kit, load)]
    return tuple(PlateView(one.weight.text(), one.colour or "", one.across_mm, float(one.thick_mm)) for one in kinds)


@lru_cache(maxsize=256)
def _first_way(kit: Kit, load: Load) -> Side:
    return next(iter(ways(kit, load, 1)), ())


# A lane with what it is compared by: id, the standing it belongs to, its score; None before anything was judged there.
Compared = tuple[str, str, Score | None]


def standing_name(roster: Roster, place: Place, division: str) -> str:
    """Which standing a lane's entry belongs to: its division, and the variant where that is ranked apart."""
    entry = next(entry for entry in roster.entries if entry.id == place.assignment.entry)
    variant = place.event.format.variant(variant_key(place.event, entry.division, place.assignment.variant))
    return f"{division}, {variant.name}" if variant and variant.ranked == "apart" else division


def groups(lanes: Sequence[Compared]) -> tuple[GroupView, ...]:
    """Who leads in a heat, standing by standing. Nobody does before two have something to compare."""
    found: defaultdict[str, list[tuple[str, Score]]] = defaultdict(list)
    for lane, name, made in lanes:
        if made is not None:
            found[name].append((lane, made))
    return tuple(_group(name, members) for name, members in found.items())


def _group(name: str, members: list[tuple[str, Score]]) -> GroupView:
    keys = sorted({made.key for _, made in members})
    order = tuple(tuple(lane for lane, made in members if made.key == key) for key in keys)
    best = {made.key: made for _, made in members}
    behind = [apart_text(best[keys[0]], best[key]) for key in keys]
    by = behind[1] if len(keys) > 1 and len(order[0]) == 1 else ""
    return GroupView(name, order, by and f"+{by}", tuple(far and f"−{far}" for far in behind))
