"""What the desk sees of the way from the hall to this laptop: who has come, where to come to, whether the laptop stays awake."""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from app.hall.backup_age import ago
from app.hall.hall import Hall
from app.hall.views import State
from app.rules.values.words import say

System = Literal["windows", "mac", "linux"]
NAMES: dict[System, str] = {"windows": "Windows", "mac": "macOS", "linux": "Linux"}


@dataclass(frozen=True, slots=True)
class WayInView:
    """The page of the way in. `address`, `others`: where a phone may knock; `ports`: what a firewall must let through, plain and
    encrypted. `systems`: this laptop's own first. `near`: only this laptop is let in at all."""

    reached: State
    awake: State
    address: str
    others: tuple[str, ...]
    ports: tuple[int, ...]
    systems: tuple[tuple[System, str], ...]
    near: bool


def way_in_view(hall: Hall, addresses: Sequence[str], ports: Sequence[int], platform: str = sys.platform) -> WayInView:
    """The page for a server at these addresses, the best first, of which there may be none; on a system as Python calls it."""
    first, *others = [*addresses, ""]
    return WayInView(
        reached=reached_state(hall),
        awake=awake_state(hall),
        address=first,
        others=tuple(other for other in others if other),
        ports=tuple(ports),
        systems=tuple((one, NAMES[one]) for one in sorted(NAMES, key=lambda one: one != system_of(platform))),
        near=not hall.settings.to_the_hall,
    )


def reached_state(hall: Hall) -> State:
    """Whether somebody came, as a word and a shape."""
    if not hall.reached.by:
        return State("look", "Nobody has reached this laptop since it started")
    return State("safe", f"Reached from {hall.reached.by}, {ago(hall, hall.reached.wall_ms)}")


def awake_state(hall: Hall) -> State:
    """Whether the laptop is kept awake, as a word and a shape."""
    state = hall.awake
    if state.in_vain:
        return State("look", say("awake.in_vain"))
    if not state.by:
        return State("kept", "Not kept awake: that starts with a planned heat or a paired tablet")
    but = (
        ", even with its lid closed, until its battery runs out"
        if state.lid
        else ", unless its lid is closed or its battery runs out"
    )
    return State("safe", f"Kept awake by {state.by}{but}")


def system_of(platform: str) -> System:
    """A system by Python's name for it."""
    return "windows" if platform == "win32" else "mac" if platform == "darwin" else "linux"
