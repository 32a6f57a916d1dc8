"""The kinds of mark: one row each, with what it says, where it belongs, what it is called and how it is drawn.

A new kind is its name in `Kind` and its row in ROWS. What it does to a count, beyond the window that it belongs to, is told by
the fold of that window's work; who may make it by authority.py. The tablets read the same rows (static/js/rules/rows.js).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

Kind = Literal[
    "rep",
    "norep",
    "declare",
    "called",
    "begun",
    "loaded",
    "lift",
    "racked",
    "finish",
    "measure",
    "strike",
    "stop",
    "note",
    "sign",
    "plan",
    "check",
    "remeasure",
]
KINDS: tuple[Kind, ...] = get_args(Kind)

Work = Literal["count", "list", "lift", "measure"]  # the kinds of task
Shape = Literal["rep", "norep", "good", "bad", "declare", "other"]  # drawn by templates/review/strip.html
Track = Literal["good", "refused", "finish"]  # drawn by static/css/floor/video.css

# What a judge's mark does to the bar, and to whoever tells of it from elsewhere: it has left the rack, it was decided or racked,
# the sheet was signed.
Lock = Literal["bar-out", "decided", "signed"]
LOCKS: tuple[Lock, ...] = get_args(Lock)

MUST, MAY = True, False
# What the tablet's clock rested on, where it is worth saying: how long it had stood in holds by then (ms), and that it was
# started by hand. See rules/count/sheet_clock.py.
CLOCK: Mapping[str, bool] = {"held": MAY, "hand": MAY}
# Of a lift, whose moments are held against one another: in which life of its tablet's clock a mark was made (from 1 on; another
# one begins where it may have stood still), and by how many ms its heat clock had been put forward since that life began (back:
# below zero). See rules/count/lifting/in_time.py.
LIFE: Mapping[str, bool] = {"life": MAY, "moved": MAY}


@dataclass(frozen=True, slots=True)
class KindRow:
    """All that is told once of a kind of mark.

    word: what the desk and the head judge read. told: what the judge's tablet says of it; listed: the same in its list of the
    sheet, if that differs. Holes are fields of the body, and load, verdict, Verdict. says: the fields of its body, MUST or MAY.
    work: the tasks to whose windows it belongs; none: it stands beside the count. folded: it changes its sheet all the same (a
    strike-out takes back, a signature closes tries). timed: it counts only inside its window, for a window may be prepared for
    and cleared up after. of_the_bar: the lane's word on the bar, which binds whoever judges again. prepares: it may be made
    before GO, and before there is a run. goes_along: made before GO it is about the lifter and not the lane, so it goes along to
    another heat. locks: from it on the bar, or the sheet, is the judge's alone. said_by: whose word it
    may be, where its body says `by`. private: the fields of its body that decide nothing and are nobody else's business: a file
    for everybody leaves them out. shape, track: how it is drawn, where its verdict does not say.
    """

    word: str
    told: str
    says: Mapping[str, bool] = field(default_factory=dict)
    listed: str = ""
    work: tuple[Work, ...] = ()
    timed: bool = True
    folded: bool = False
    of_the_bar: bool = False
    prepares: bool = False
    goes_along: bool = False
    locks: Lock | None = None
    said_by: tuple[str, ...] = ("lifter", "judge", "desk")
    private: tuple[str, ...] = ()
    shape: Shape = "other"
    track: Track = "good"


ROWS: Mapping[Kind, KindRow] = {
    "rep": KindRow("Rep", "the last rep", {"member": MAY}, "rep", work=("count", "list"), shape="rep"),
    "norep": KindRow(
        "No rep",
        "no rep",
        {"fault": MAY, "movement": MAY, "member": MAY},
        work=("count", "list", "lift", "measure"),
        shape="norep",
        track="refused",
    ),
    "declare": KindRow(
        "Declared {load}",
        "declared {load}",
        {"load": MUST, "by": MUST, "member": MAY, "record": MAY},
        work=("lift",),
        timed=False,
        of_the_bar=True,
        prepares=True,
        goes_along=True,
        said_by=("lifter", "judge", "desk", "rule"),  # rule: the load that the event's rule puts in where nobody declared in time
        shape="declare",
    ),
    # The lifter was called to the bar under a declaration: where the event has it so, the time of the attempt runs from here.
    # follows: whether they follow themselves, which gives a longer time. between: of a lift that is made again because the bar
    # was loaded wrong, how many lifts of others lay between.
    "called": KindRow(
        "Lifter called",
        "lifter called",
        {"declared": MAY, "member": MAY, "follows": MAY, "between": MAY},
        work=("lift",),
        timed=False,
        of_the_bar=True,
    ),
    # The bar left the rack under a declaration, which is locked from then on.
    "begun": KindRow(
        "Bar left the rack",
        "bar left the rack",
        {"declared": MAY, "member": MAY},
        work=("lift",),
        timed=False,
        of_the_bar=True,
        locks="bar-out",
    ),
    # What the bar really carried under a declaration; side: the plates of one side from inside out; uneven: its two ends
    # differed; keep: what the lifter chose about it.
    "loaded": KindRow(
        "{load} on the bar",
        "{load} on the bar",
        {"load": MUST, "by": MUST, "declared": MAY, "member": MAY, "side": MAY, "uneven": MAY, "keep": MAY},
        "on the bar: {load}",
        work=("lift",),
        timed=False,
        of_the_bar=True,
        prepares=True,
        said_by=("judge", "loader"),
    ),
    # begun: which time the bar left the rack was judged, so that several judges' decisions on one try meet.
    "lift": KindRow(
        "{Verdict} lift {load}",
        "{verdict} lift, {load}",
        {"load": MUST, "good": MUST, "fault": MAY, "declared": MAY, "begun": MAY, "member": MAY, "reps": MAY},
        "{verdict} lift {load}",
        work=("lift",),
        locks="decided",
    ),
    "racked": KindRow(
        "Bar racked", "bar racked", {"declared": MAY}, work=("lift",), timed=False, of_the_bar=True, locks="decided"
    ),
    "finish": KindRow("Finish", "the finish", {}, "finish", work=("list",), shape="good", track="finish"),
    "measure": KindRow(
        "Measured {value}",
        "measured {value}",
        {"value": MUST, "member": MAY},
        work=("measure",),
        timed=False,
        track="finish",
    ),
    "strike": KindRow("Taken back", "strike", {"mark": MUST}, folded=True, goes_along=True),
    "stop": KindRow("Stop", "stop: {why}", {"why": MUST}, "stop", private=("why",)),
    "note": KindRow("Note", "note: {text}", {"text": MUST, "late": MAY, "go": MAY}, "note", private=("text",)),
    "sign": KindRow(
        "Signed", "signed by the {who}", {"who": MUST, "name": MUST}, "sign", folded=True, locks="signed", private=("name",)
    ),
    "plan": KindRow(
        "Plan given", "plan", {"loads": MUST, "by": MUST, "member": MAY}, "plan given", goes_along=True, private=("loads",)
    ),
    "check": KindRow(
        "Equipment checked",
        "the equipment check",
        {"items": MUST, "name": MUST},
        "check",
        private=("items", "name"),
    ),
    # A marking measured again on the lane before GO: a wall line's height, or the reach that it is made from.
    "remeasure": KindRow(
        "Measured again {value} {unit}",
        "remeasure",
        {"what": MUST, "value": MUST, "unit": MUST, "member": MAY},
        private=("value",),
    ),
}

# What each kind may say, and must say. The tally reads nothing else.
BODY: Mapping[Kind, Mapping[str, bool]] = {
    kind: {**row.says, **CLOCK, **(LIFE if row.work == ("lift",) else {})} for kind, row in ROWS.items()
}
PLACED: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if row.work)  # what makes a sheet more than empty
GOES_ALONG: frozenset[str] = frozenset(kind for kind, row in ROWS.items() if row.goes_along)
UNTIMED: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if row.work and not row.timed)
JUDGED: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if row.work and not row.of_the_bar)
# What says something private and changes no count: plans, notes, what was measured.
UNTOLD: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if row.private and not row.work and not row.folded)
OF_THE_BAR: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if row.of_the_bar)


def fitting(work: Work) -> frozenset[Kind]:
    """The kinds of mark that belong to windows of a kind of task."""
    return frozenset(kind for kind, row in ROWS.items() if work in row.work)
