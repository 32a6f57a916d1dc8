"""The desk's page of tablets: which lane has which devices, what they last said, and which is wanted there next."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.doors.coaches import CoachRow, coach_rows
from app.doors.device_list import DeviceView, list_devices
from app.hall.devices import Who
from app.hall.hall import Hall
from app.rules.count.lights import judged_by_three
from app.rules.records.platforms import platforms, shares_a_bar
from app.rules.records.seats import AT_LANES, AT_PLATFORMS, Seat, SeatRow
from app.rules.values.words import ranges
from app.rules.workout.formats import Format, LiftTask


@dataclass(frozen=True, slots=True)
class PlaceTablets:
    """A lane or a platform, and its paired devices. lane: which devices are invited to, of a platform its first. name: its title;
    spoken: the same behind a button's words. wanted: the next seat that an event asks for and nobody has. others: who else can be
    invited."""

    lane: int
    key: str
    name: str
    spoken: str
    devices: tuple[DeviceView, ...]
    wanted: Seat | None
    others: tuple[Seat, ...]


@dataclass(frozen=True, slots=True)
class Tablets:
    """All platforms, all lanes that are in a start list or have a device, the coaches, and the desks."""

    platforms: tuple[PlaceTablets, ...]
    lanes: tuple[PlaceTablets, ...]
    coaches: tuple[CoachRow, ...]
    desks: tuple[DeviceView, ...]


async def tablets(hall: Hall, asking: Who) -> Tablets:
    """Every paired device at its lane or platform."""
    devices, formats = await list_devices(hall, asking), _formats(hall)
    at_lanes = [device for device in devices if device.at == "lane"]
    numbers = sorted(_lanes_in_start_lists(hall) | {device.lane for device in at_lanes if device.lane is not None})
    return Tablets(
        platforms=_platforms(hall, [device for device in devices if device.at == "platform"]),
        lanes=tuple(_lane(lane, [device for device in at_lanes if device.lane == lane], formats) for lane in numbers),
        coaches=coach_rows(hall, devices),
        desks=tuple(device for device in devices if not device.at),
    )


def _lane(lane: int, devices: Sequence[DeviceView], formats: Sequence[Format]) -> PlaceTablets:
    several = any(counted_by_several(format) for format in formats)
    offered = {seat: row for seat, row in AT_LANES.items() if several or not row.if_several}
    wanted = _wanted([seat for seat in _asked_for(formats) if seat in offered], offered, devices)
    others = tuple(seat for seat in offered if seat != wanted)
    return PlaceTablets(lane, f"lane-{lane}", f"Lane {lane}", f"lane {lane}", tuple(devices), wanted, others)


def _platforms(hall: Hall, devices: Sequence[DeviceView]) -> tuple[PlaceTablets, ...]:
    """The platforms of the start lists, and of devices that were paired for one which is there no more."""
    roster = hall.projection.roster
    known = platforms(roster) if roster else ()
    lost = sorted({device.lane for device in devices if device.lane and not any(device.lane in lanes for lanes in known)})
    return tuple(
        _platform(lanes, [device for device in devices if device.lane in lanes])
        for lanes in (*known, *((lane,) for lane in lost))
    )


def _platform(lanes: Sequence[int], devices: Sequence[DeviceView]) -> PlaceTablets:
    wanted, first = _wanted(AT_PLATFORMS, AT_PLATFORMS, devices), lanes[0]
    others = tuple(seat for seat in AT_PLATFORMS if seat != wanted)
    spoken = f"the lane {first} platform"
    return PlaceTablets(first, f"platform-{first}", f"Platform, lanes {ranges(lanes)}", spoken, tuple(devices), wanted, others)


def _wanted(seats: Iterable[Seat], rows: Mapping[Seat, SeatRow], devices: Sequence[DeviceView]) -> Seat | None:
    """The first of these seats that no device has."""
    there = {device.role for device in devices}
    return next((seat for seat in seats if rows[seat].name not in there), None)


def _asked_for(formats: Sequence[Format]) -> tuple[Seat, ...]:
    """The seats that the events ask for at a lane, the most needed first."""
    beside = any(counted_by_several(format) for format in formats)
    lights = any(judged_by_three(format) and not shares_a_bar(format) for format in formats)
    lifts = any(isinstance(task, LiftTask) for format in formats for task in format.tasks.values())
    asked: dict[Seat, bool] = {"lane": True, "second": beside, "third": lights, "lifter": lifts}
    return tuple(seat for seat, is_asked in asked.items() if is_asked)


def counted_by_several(format: Format) -> bool:
    """Whether more than one judge counts, or decides a lift, at a lane: at a shared bar the platform's referees do."""
    return format.counters.how != "lane" or (judged_by_three(format) and not shares_a_bar(format))


async def device_states(hall: Hall, asking: Who) -> dict[str, dict[str, str]]:
    """What each paired device last said, by its id, for a page that is already open."""
    return {device.id: _said(device) for device in await list_devices(hall, asking)}


def _said(device: DeviceView) -> dict[str, str]:
    waits = " ".join(f"{one.id}{'+' if one.may else ''}" for one in device.waits)
    return {"state": device.state, "words": device.words, "refused": device.refused, "waits": waits}


def _formats(hall: Hall) -> list[Format]:
    roster = hall.projection.roster
    return [event.format for event in roster.events] if roster else []


def _lanes_in_start_lists(hall: Hall) -> set[int]:
    roster = hall.projection.roster
    return set() if roster is None else {assignment.lane for heat in roster.heats for assignment in heat.lanes}
