"""The lane packet: all that a tablet needs to judge its lane with no network, in one answer."""

import hashlib
import json
from collections.abc import Collection, Set
from dataclasses import replace
from typing import Any

from app.floor.bar_beside import bars_of
from app.floor.first_lane import judged_before, judged_today
from app.floor.knowing import in_order, knows, told_to, untold
from app.floor.lane_markings import lane_markings, measuring_steps
from app.floor.turns import turns_of
from app.hall.club_colours import club_colours
from app.hall.devices import Who, held_by
from app.hall.hall import Hall
from app.hall.told import told_now
from app.live.platforms import at_platform, lanes_of, seen_at, with_entries
from app.live.servertime import go_bound_ms, go_on_this_timeline
from app.plan.running import probable_starts
from app.rules.count.gear_check import equipment_list, lines_with_holes
from app.rules.count.received import let_count
from app.rules.count.sheet_clock import standing_shift
from app.rules.count.sheets import variant_key
from app.rules.count.stops import is_out
from app.rules.records.document import Run
from app.rules.records.in_force import signed_off
from app.rules.records.marks import SheetKey, received_plain
from app.rules.records.numbers import number_of
from app.rules.records.platforms import heats_at_platforms
from app.rules.records.roster import Assignment, Athlete, Competition, Entry, Heat, Roster
from app.rules.records.seal import mark_print
from app.rules.values.shapes import load_plain
from app.rules.workout.score_units import score_unit
from app.store.refusals import Refusal

NOTHING_YET = "There is no competition yet. The desk has to set one up first."
Plain = dict[str, Any]


class NoCompetition(Refusal):
    """Raised when there is nothing to judge yet; its text is the sentence to show."""


def lane_packet(hall: Hall, who: Who, lane: int | None) -> Plain:
    """The packet of one lane, of a platform's lanes, or of a coach's entries, as JSON values, for the device that asks; lane: its
    own, or that the desk looks at. Raises NoCompetition."""
    roster, runs = hall.projection.roster, hall.projection.runs
    if roster is None:
        raise NoCompetition(NOTHING_YET)
    placed = replace(who, lane=lane)
    lanes = lanes_of(hall, placed) if at_platform(who) or with_entries(who) else (lane,)
    heats = _heats(hall, roster, runs, placed, lanes)
    fixed: Plain = {
        "device": {"id": who.device_id, "role": who.role, "lane": lane, "name": who.name, "sheet": who.sheet},
        **({"platform": {"lanes": lanes}} if at_platform(who) else {}),
        "competition": _competition(roster.competition),
        "plates": next((plain for one in lanes if (plain := plates_plain(roster, one))), None),
        **(_of_coach(roster, who, lanes) if with_entries(who) else {}),
        "events": _events(hall, roster, heats),
        "heats": heats,
    }
    return {
        "version": _version(fixed),
        "boot": hall.time.boot,
        "told": told_now(hall),
        "server_ms": hall.time.server_ms(),
        **fixed,
        "marks": told_to(hall, who, [mark for heat in heats for mark in _marks(hall, heat["assignment"]["id"])]),
        **{key: value for key, value in held_by(hall, who).items() if key != "device"},
        "caller": caller_state(hall, lane),
        **({"turns": turns_of(hall, who)} if with_entries(who) else {}),
        "starts": _starts(hall, {heat["id"] for heat in heats}),
        "bars": bars_of(hall, dict.fromkeys(heat["id"] for heat in heats)),
    }


def _of_coach(roster: Roster, who: Who, lanes: Collection[int | None]) -> Plain:
    """For whom a coach's device stands, and what their lanes can put on a bar."""
    lifters = [{"id": entry.id, "name": entry.name} for entry in roster.entries if entry.id in who.entries]
    return {"lifters": lifters, "kits": {str(one): plates_plain(roster, one) for one in lanes if one is not None}}


def _starts(hall: Hall, heats: Set[str]) -> Plain:
    """When each of these heats will probably start, where that can be said."""
    return {heat: {"at": at, "time": time} for heat, (at, time) in probable_starts(hall).items() if heat in heats}


def caller_state(hall: Hall, lane: int | None) -> str:
    """Whether a lane's lifter can declare from a phone or tablet: `here`, `away` (one is paired and out of reach), `none`."""
    if lane is None:
        return "none"
    now = hall.time.server_ms()
    phones = [seen.online(now) for seen in seen_at(hall, lane) if seen.device.role == "lifter"]
    return "here" if any(phones) else "away" if phones else "none"


def _competition(competition: Competition) -> Plain:
    return {"id": competition.id, "name": competition.name, "unit": competition.unit, "demo": competition.demo}


def plates_plain(roster: Roster, lane: int | None) -> Plain | None:
    """The bars, collars and plates that a lane has; None while the desk has given it none."""
    given = next((one.plates for one in roster.lane_plates if one.lane == lane), None)
    return next((one.model_dump(mode="json") for one in roster.plate_sets if one.id == given), None)


def _events(hall: Hall, roster: Roster, heats: list[Plain]) -> Plain:
    """The events of the heats, each as its lanes do it: a variant is an event of its own to the tablet."""
    events: Plain = {}
    for heat in heats:
        place = hall.projection.place_of(heat["assignment"]["id"])
        if place is not None and heat["event"] not in events:
            plain = place.format.model_dump(mode="json", exclude={"variants"})
            variant = place.event.format.variant(heat["event"].partition("~")[2])
            name = f"{place.event.name}, {variant.name}" if variant else place.event.name
            checks = list(equipment_list(place.format))
            units = {rule.id: score_unit(place.event.format, rule) for rule in place.format.scores}
            up = [index for index in range(len(place.format.windows)) if place.format.counts_up(index)]
            known = {"id": place.event.id, "name": name, "format": plain}
            measuring = measuring_steps(roster, place.event)
            lines = lines_with_holes(place.format)
            events[heat["event"]] = {**known, "checks": checks, "lines": lines, "units": units, "up": up, "measuring": measuring}
    return events


def _heats(hall: Hall, roster: Roster, runs: tuple[Run, ...], who: Who, lanes: Collection[int | None]) -> list[Plain]:
    """The heats that a device has its place in, in the order run: one for each of these lanes that it stands at there."""
    shared = {heat.id for heat in heats_at_platforms(roster)} if at_platform(who) else set()
    entries = {entry.id: entry for entry in roster.entries}
    divisions = {division.id: division.name for division in roster.divisions}
    signed = {event.id: signed_off(hall.projection.rulings, event.id) is not None for event in roster.events}
    judged = judged_today(roster.heats, runs, hall.time.wall_ms())
    heats = []
    for heat in in_order(roster):
        if at_platform(who) and heat.id not in shared:
            continue
        for assignment in sorted(heat.lanes, key=lambda one: one.lane):
            place = hall.projection.place_of(assignment.id)
            known = knows(hall, who, place) if place is not None and assignment.lane in lanes else "nothing"
            if place is not None and known != "nothing":
                entry = entries[assignment.entry]
                stands: Plain = {"id": assignment.id, "lane": assignment.lane, "judge": assignment.judge}
                stands["shifts"] = _shifts(hall, assignment.id)
                stands["judged"] = judged_before(judged, assignment.judge, heat.id)
                stands["counting"] = _counting(hall, assignment.id)
                stands["admitted"] = sorted(let_count(hall.projection.sheet_clock(SheetKey(assignment.id, 1, "lane").text())))
                stands["ruled"] = _ruled_lifts(hall, runs, heat, assignment.id)
                stands["out"] = is_out(hall.projection.standing_rulings, assignment, heat.event)
                stands["openers"] = _openers(roster, heat.event, entry) if known == "all" else []
                stands |= {"untold": sorted(untold(known))} if untold(known) else {}
                key = {"event": _event_key(roster, heat, entry, assignment), "signed": signed[heat.event]}
                stands["markings"] = lane_markings(roster, place.event, place.format, entry) if known == "all" else None
                heats.append(_heat(hall, heat, runs) | key | {"assignment": stands | {"entry": _entry(roster, entry, divisions)}})
    return heats


def _heat(hall: Hall, heat: Heat, runs: tuple[Run, ...]) -> Plain:
    newest = max((run for run in runs if run.heat == heat.id), key=lambda run: run.number, default=None)
    told = None if newest is None else run_plain(hall, newest)
    return {"id": heat.id, "number": heat.number, "planned": heat.planned, "run": told}


def _event_key(roster: Roster, heat: Heat, entry: Entry, assignment: Assignment) -> str:
    """Names an event and the variant that is done of it."""
    event = next(event for event in roster.events if event.id == heat.event)
    variant = variant_key(event, entry.division, assignment.variant)
    return f"{event.id}~{variant}" if event.format.variant(variant) else event.id


def _shifts(hall: Hall, assignment: str) -> dict[str, int]:
    """By how many milliseconds the lane's clock was shifted, by run."""
    about = [ruling for ruling in hall.projection.standing_rulings if ruling.kind == "shift" and ruling.assignment == assignment]
    numbers = sorted({int(ruling.body["run"]) for ruling in about})
    found = {number: standing_shift(assignment, number, about) for number in numbers}
    return {str(number): int(ruling.body["ms"]) for number, ruling in found.items() if ruling and ruling.body["ms"]}


def _counting(hall: Hall, assignment: str) -> dict[str, str]:
    """Of the numbers on the lane's sheets that were used twice, the id of the mark that counts; empty while none does."""
    counting = hall.projection.sheet_clock(SheetKey(assignment, 1, "lane").text()).counting
    found: dict[str, str] = {}
    for mark in hall.projection.assignment_marks(assignment) if counting else ():
        number = "/".join(map(str, number_of(mark)))
        chosen = counting.get(number_of(mark))
        if chosen is not None:
            found[number] = mark.id if chosen == mark_print(mark) else found.get(number, "")
    return found


def _ruled_lifts(hall: Hall, runs: tuple[Run, ...], heat: Heat, assignment: str) -> list[Plain]:
    """The rulings on the lifts of a lane in the newest run of its heat, in the order made: tablets too fold what they change of
    the order of lifting."""
    newest = max((run.number for run in runs if run.heat == heat.id), default=1)
    ruled = hall.projection.sheet_clock(SheetKey(assignment, newest, "lane").text()).ruled
    told = ("mark", "good", "fault", "member", "at")
    return [{key: one.body[key] for key in told if key in one.body} for one in ruled if one.kind == "lift"]


def _openers(roster: Roster, event: str, entry: Entry) -> list[Plain]:
    """What the entry's members mean to lift, by lift and member (1 is A), as said before the event."""
    return [
        {
            "task": opener.task,
            "member": opener.member,
            "loads": [load_plain(load) for load in opener.loads],
        }
        for opener in roster.openers
        if (opener.event, opener.entry) == (event, entry.id)
    ]


def run_plain(hall: Hall, run: Run) -> Plain:
    """A run as tablets are told of it: its GO on the present timeline and, where that is not exact, its bound; when it stood."""
    holds = [hold.model_dump() for hold in run.holds]
    told = {"number": run.number, "go_server_ms": go_on_this_timeline(run, hall.time), "state": run.state, "holds": holds}
    bound = go_bound_ms(run, hall.time)
    return told if bound == 0 else told | {"bound_ms": bound}


def _entry(roster: Roster, entry: Entry, divisions: dict[str, str]) -> Plain:
    athletes: dict[str, Athlete] = {athlete.id: athlete for athlete in roster.athletes}
    clubs = {club.id: club.name for club in roster.clubs}
    members = [{"name": athletes[member].name, "club": clubs.get(athletes[member].club or "", "")} for member in entry.members]
    colours = club_colours(roster).get(entry.id, ())
    return {"id": entry.id, "name": entry.name, "division": divisions[entry.division], "members": members, "colours": colours}


def _marks(hall: Hall, assignment: str) -> list[Plain]:
    marks = sorted(hall.projection.assignment_marks(assignment), key=lambda mark: mark.order)
    return [received_plain(mark) for mark in marks]


def _version(fixed: Plain) -> str:
    """Names what the packet says, marks and time aside: the same name, the same start list."""
    return hashlib.sha256(json.dumps(fixed, sort_keys=True).encode()).hexdigest()[:16]
