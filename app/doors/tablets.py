"""The desk's page of tablets: which lane has which devices, and what they last said."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.hall.devices import DeviceView, Who, list_devices
from app.hall.hall import Hall
from app.rules.count.lights import judged_by_three
from app.rules.records.platforms import platforms
from app.rules.values.words import ranges


@dataclass(frozen=True, slots=True)
class LaneTablets:
    """A lane and its paired devices."""

    lane: int
    devices: tuple[DeviceView, ...]


@dataclass(frozen=True, slots=True)
class PlatformTablets:
    """A platform and its paired devices: the lane that they are invited to, and all lanes whose lifters share its bar."""

    lane: int
    lanes: str
    devices: tuple[DeviceView, ...]


@dataclass(frozen=True, slots=True)
class Tablets:
    """All platforms, all lanes that are in a start list or have a device, and the desks. `several`: an event joins the counts of
    several."""

    platforms: tuple[PlatformTablets, ...]
    lanes: tuple[LaneTablets, ...]
    desks: tuple[DeviceView, ...]
    several: bool


async def tablets(hall: Hall, asking: Who) -> Tablets:
    """Every paired device under its lane."""
    devices = await list_devices(hall, asking)
    at_lanes = [device for device in devices if device.at == "lane"]
    numbers = sorted(_lanes_in_start_lists(hall) | {device.lane for device in at_lanes if device.lane is not None})
    return Tablets(
        platforms=_platforms(hall, [device for device in devices if device.at == "platform"]),
        lanes=tuple(LaneTablets(lane, tuple(device for device in at_lanes if device.lane == lane)) for lane in numbers),
        desks=tuple(device for device in devices if device.lane is None),
        several=_joins_counts(hall),
    )


def _platforms(hall: Hall, devices: Sequence[DeviceView]) -> tuple[PlatformTablets, ...]:
    """The platforms of the start lists, and of devices that were paired for one which is there no more."""
    roster = hall.projection.roster
    known = platforms(roster) if roster else ()
    lost = sorted({device.lane for device in devices if device.lane and not any(device.lane in lanes for lanes in known)})
    return tuple(
        PlatformTablets(lanes[0], ranges(lanes), tuple(device for device in devices if device.lane in lanes))
        for lanes in (*known, *((lane,) for lane in lost))
    )


async def device_states(hall: Hall, asking: Who) -> dict[str, dict[str, str]]:
    """What each paired device last said, by its id, for a page that is already open."""
    return {device.id: _said(device) for device in await list_devices(hall, asking)}


def _said(device: DeviceView) -> dict[str, str]:
    waits = " ".join(f"{one.id}{'+' if one.may else ''}" for one in device.waits)
    return {"state": device.state, "words": device.words, "refused": device.refused, "waits": waits}


def _joins_counts(hall: Hall) -> bool:
    """Whether any event has more than one judge count, or decide a lift, on a lane."""
    roster = hall.projection.roster
    formats = [event.format for event in roster.events] if roster else []
    return any(format.counters.how != "lane" or judged_by_three(format) for format in formats)


def _lanes_in_start_lists(hall: Hall) -> set[int]:
    roster = hall.projection.roster
    return set() if roster is None else {assignment.lane for heat in roster.heats for assignment in heat.lanes}
