"""Who sits where in a hall, and the kinds of sheet that they write: one row each.

A seat is at a place, never at a numbered one: a lane, a platform (platforms.py), or wherever its entries lift. A new role is its
row in SEATS and what it may write in authority.py; if its record is one of its own, a row in SHEETS as well. The tablets read the
same rows (static/js/rules/rows.js).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

SheetKind = Literal["lane", "second", "third", "shadow", "video", "paper"]
SHEET_KINDS: tuple[SheetKind, ...] = get_args(SheetKind)
# Which door a device came in by, as it is stored.
Role = Literal["desk", "review", "lane", "lifter", "coach", "platform", "marshal", "loaders"]
Seat = Literal[
    "desk", "review", "lane", "second", "third", "shadow", "lifter", "coach", "centre", "left", "right", "marshal", "loaders"
]
# Where a seat is. entries: on whichever lanes some entries stand, which its device names. Nowhere: it writes on every sheet that
# its row in authority.py allows.
Place = Literal["", "lane", "platform", "entries"]

# What the marks of a kind of sheet do. counts: they are the record. joined: they meet the lane judge's by the event's rule for
# several counters or judges. compared: they change no score by themselves. stands-in: they count where the record has none yet.
Does = Literal["counts", "joined", "compared", "stands-in"]


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A kind of sheet. name: on lists and tablets. short: on a strip. who: whoever makes it. sheet: the sheet in a sentence.
    live: it is made while the heat runs, so the times of its marks are readings of the heat clock, which can't lie ahead."""

    does: Does
    name: str
    short: str
    who: str
    sheet: str
    live: bool = True


SHEETS: Mapping[SheetKind, SheetRow] = {
    "lane": SheetRow("counts", "Judge", "Judge", "the judge", "the lane judge's sheet"),
    "second": SheetRow("joined", "Second counter", "Second", "the second counter", "the second counter's sheet"),
    "third": SheetRow("joined", "Third counter", "Third", "the third counter", "the third counter's sheet"),
    "shadow": SheetRow("compared", "Shadow judge", "Shadow", "the shadow judge", "the shadow judge's sheet"),
    "video": SheetRow("compared", "Video", "Video", "the judge of the film", "the sheet judged from video", live=False),
    "paper": SheetRow("stands-in", "Paper", "Paper", "whoever keyed the paper in", "the paper sheet", live=False),
}


def sheets_that(*does: Does) -> tuple[SheetKind, ...]:
    """The kinds of sheet whose marks do one of these, in order."""
    return tuple(kind for kind, row in SHEETS.items() if row.does in does)


@dataclass(frozen=True, slots=True)
class SeatRow:
    """A seat, or a role at a place.

    role, sheet: as they are stored with its device; the sheet is the one that it writes. at: where it is, and it writes nowhere
    else. kept_as: the seat whose work it does, which a mark's receipt names; none: itself. A file that knows no platforms can so
    be counted again all the same. name: in the desk's list. For a seat that is invited also: device, the name that its device
    begins with after its place; title and becomes, what the invitation says to the desk and to whoever takes it ({} is the number
    of the lane); invite, the words of the button; screen, where it works. if_several: offered only where an event has several
    count. told: what the activity log says of it, beside its lane.
    """

    role: Role
    sheet: SheetKind
    name: str
    at: Place = "lane"
    kept_as: "Seat | None" = None
    device: str = ""
    title: str = ""
    becomes: str = ""
    invite: str = ""
    screen: str = ""
    if_several: bool = False
    told: str = ""

    def place(self, lane: int | None) -> str:
        """Its place in words; `lane`: its lane, or the first of its platform."""
        if self.at == "entries":
            return "Coach"
        return "Desk" if lane is None else f"Lane {lane} platform" if self.at == "platform" else f"Lane {lane}"


SEATS: Mapping[Seat, SeatRow] = {
    "desk": SeatRow("desk", "lane", "Desk", at="", told="desk"),
    "review": SeatRow("review", "lane", "Head judge", at="", told="head judge"),
    "lane": SeatRow(
        "lane",
        "lane",
        "Lane screen",
        device="tablet",
        title="judging screen",
        becomes="lane {}'s judging screen",
        invite="Invite a tablet",
        screen="/lane",
    ),
    "second": SeatRow(
        "lane",
        "second",
        "Second counter",
        device="second counter",
        title="second counter",
        becomes="lane {}'s second counter, beside its judge",
        invite="Invite a second counter",
        screen="/lane",
        if_several=True,
    ),
    "third": SeatRow(
        "lane",
        "third",
        "Third counter",
        device="third counter",
        title="third counter",
        becomes="lane {}'s third counter, beside its judge",
        invite="Invite a third counter",
        screen="/lane",
        if_several=True,
    ),
    "shadow": SeatRow(
        "lane",
        "shadow",
        "Shadow judge",
        device="shadow judge",
        title="shadow judge",
        becomes="lane {}'s shadow judge, beside its judge: the sheet is compared and changes no score by itself",
        invite="Invite a shadow judge",
        screen="/lane",
    ),
    "lifter": SeatRow(
        "lifter",
        "lane",
        "Call screen",
        device="call screen",
        title="call screen",
        becomes="lane {}'s call screen, for the lifter and the loaders",
        invite="Invite a call screen",
        screen="/call",
        told="call screen",
    ),
    # Of several entries: it follows them to whichever lanes and heats they stand in.
    "coach": SeatRow(
        "coach",
        "lane",
        "Coach",
        at="entries",
        kept_as="lifter",
        device="phone",
        title="coach's phone",
        becomes="a coach's phone: it declares for the lifters that the desk gives it",
        invite="Invite a coach",
        screen="/coach",
        told="coach",
    ),
    # At a platform: one bar, and whoever is called lifts. Its marks stand on the sheet of the lane whose lifter they are about.
    "centre": SeatRow(
        "platform",
        "lane",
        "Centre referee",
        at="platform",
        kept_as="lane",
        device="centre referee",
        title="centre referee",
        becomes="the centre referee's tablet at the lane {} platform",
        invite="Invite the centre referee",
        screen="/platform",
        told="centre referee",
    ),
    "left": SeatRow(
        "platform",
        "second",
        "Left referee",
        at="platform",
        kept_as="second",
        device="left referee",
        title="left referee",
        becomes="the left referee's tablet at the lane {} platform",
        invite="Invite the left referee",
        screen="/platform",
        told="left referee",
    ),
    "right": SeatRow(
        "platform",
        "third",
        "Right referee",
        at="platform",
        kept_as="third",
        device="right referee",
        title="right referee",
        becomes="the right referee's tablet at the lane {} platform",
        invite="Invite the right referee",
        screen="/platform",
        told="right referee",
    ),
    "marshal": SeatRow(
        "marshal",
        "lane",
        "Marshal",
        at="platform",
        kept_as="desk",
        device="marshal",
        title="marshal and timekeeper",
        becomes="the marshal's tablet at the lane {} platform: calls the lifters, and takes what they declare",
        invite="Invite the marshal",
        screen="/platform/call",
        told="marshal",
    ),
    "loaders": SeatRow(
        "loaders",
        "lane",
        "Loaders",
        at="platform",
        kept_as="lifter",
        device="loaders",
        title="loaders",
        becomes="the loaders' tablet at the lane {} platform",
        invite="Invite the loaders",
        screen="/platform/call",
        told="loaders",
    ),
}

INVITED: Mapping[Seat, SeatRow] = {seat: row for seat, row in SEATS.items() if row.screen}
AT_LANES: Mapping[Seat, SeatRow] = {seat: row for seat, row in INVITED.items() if row.at == "lane"}
AT_PLATFORMS: Mapping[Seat, SeatRow] = {seat: row for seat, row in INVITED.items() if row.at == "platform"}
BY_DEVICE: Mapping[tuple[str, str], Seat] = {(row.role, row.sheet): seat for seat, row in SEATS.items()}
RECEIVED: tuple[Seat, ...] = tuple(seat for seat, row in SEATS.items() if row.kept_as is None)  # what a receipt may name
PLACED_ROLES: frozenset[str] = frozenset(row.role for row in SEATS.values() if row.at)
JUDGES: frozenset[str] = frozenset({"lane", "platform"})  # the roles that judge
# Who sits at a place with a tablet and writes a sheet there, in order.
TABLET_SHEETS: tuple[SheetKind, ...] = tuple(dict.fromkeys(row.sheet for row in INVITED.values()))


def seat_of(role: str, sheet: str) -> Seat:
    """The seat of a device, by what is stored of it. Raises KeyError for one that there is not."""
    return BY_DEVICE[role, sheet]


def seat_row(role: str, sheet: str) -> SeatRow:
    """The row of a device's seat. Raises KeyError for one that there is not."""
    return SEATS[seat_of(role, sheet)]
