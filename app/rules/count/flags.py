"""What makes a mark odd: a row for each flag, with all that is said of it. The tally names these keys; nothing odd is dropped.

A flag that no single mark shows (a silent lane, a tablet with marks still on it) is found for the queue alone, and its row stands
beside what finds it, in app/review/finding.py.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from app.rules.count.tally_shape import Flag
from app.rules.records.rulings import Ruling

# What suggests itself: count the repetitions that it kept out, take those out that it doubts, let another sheet stand, or let the
# marks count that wait for a ruling.
Offer = Literal["count", "discount", "stand", "admit"]


@dataclass(frozen=True, slots=True)
class FlagRow:
    """All that is said of one kind of flag.

    name: two or three words, for the queue. sentence: what the head judge reads; empty where what finds it has words of its own.
    offers: the rulings that suggest themselves. tablet: what the judge's own sheet says beside the mark, if it says more than the
    key. at_once: the desk should see to it while the heat runs. beside: it is for the head judge from the sheets of the further
    judges too, as is all that may be admitted; their other flags are compared, not ruled on.
    """

    name: str
    sentence: str = ""
    offers: tuple[Offer, ...] = ()
    tablet: str = ""
    at_once: bool = False
    beside: bool = False

    @property
    def is_ruled_beside(self) -> bool:
        """Whether it is for the head judge on the sheets beside the lane judge's too."""
        return self.beside or "admit" in self.offers

    @property
    def keeps_out(self) -> bool:
        """Whether its sentence says that a mark does not count."""
        return "does not count" in self.sentence

    @property
    def lets_in(self) -> bool:
        """Whether its sentence says that a mark counts all the same: so it is for information, until somebody rules otherwise."""
        return self.sentence.endswith("It counts.")

    @property
    def says_it_counts(self) -> bool:
        """The same, or that it counts until somebody rules or chooses otherwise."""
        return "It counts" in self.sentence


FLAGS: Mapping[str, FlagRow] = {
    # These five are moments of the table of authority, at which a mark waits for a ruling.
    "ahead": FlagRow(
        "Ahead of time",
        "Marked for a time still to come when it reached the desk. It waits for a ruling and does not count.",
        offers=("admit",),
        tablet="for a time still to come; it does not count",
        at_once=True,
    ),
    "no-run": FlagRow(
        "Before there was a run",
        "Reached the desk before this run of the heat began. It waits for a ruling and does not count.",
        offers=("admit",),
        tablet="before the desk had given this run; it does not count",
        at_once=True,
    ),
    "bar-out": FlagRow(
        "After the bar had left",
        "Sent from a screen other than the judge's after the bar had left the rack. It waits for a ruling and changes nothing.",
        offers=("admit",),
        tablet="sent after the bar had left the rack; it changes nothing",
    ),
    "decided": FlagRow(
        "After the lift was judged",
        "Sent from a screen other than the judge's after the lift was judged. It waits for a ruling and changes nothing.",
        offers=("admit",),
        tablet="sent after the lift was judged; it changes nothing",
    ),
    "signed": FlagRow(
        "After the signature",
        "Sent from a screen other than the judge's after the sheet was signed. It waits for a ruling and changes nothing.",
        offers=("admit",),
        tablet="sent after the sheet was signed; it changes nothing",
    ),
    "too-many": FlagRow(
        "Faster than hands",
        "More than hands can mark on a sheet of this event. It is kept aside, waits for a ruling and does not count.",
        offers=("admit",),
        tablet="beyond what hands can mark; it does not count",
        at_once=True,
    ),
    "late": FlagRow(
        "After the bell", "Marked just after the bell. It counts.", offers=("discount",), tablet="just after the bell; it counts"
    ),
    "early": FlagRow(
        "Before the window",
        "Marked just before its window opened. It counts.",
        offers=("discount",),
        tablet="just before its window; it counts",
    ),
    "outside": FlagRow(
        "Outside every window",
        "Marked outside every window that fits it. It does not count.",
        offers=("count",),
        tablet="outside its window; it does not count",
    ),
    "held": FlagRow(
        "During a hold",
        "Marked while the clock was held. It does not count.",
        offers=("count",),
        tablet="while the clock was held; it does not count",
        at_once=True,
    ),
    "held-late": FlagRow(
        "Just into a hold",
        "Marked just after the clock was held. It counts.",
        offers=("discount",),
        tablet="just after the clock was held; it counts",
    ),
    "no-window": FlagRow("No work there", "Marked for a window without work. It does not count.", offers=("count",)),
    "wrong-kind": FlagRow(
        "Wrong kind of mark", "This kind of mark does not belong to the work of its window. It does not count.", offers=("count",)
    ),
    "other-member": FlagRow(
        "Another member",
        "Marked for a member who does not work in that window. It does not count.",
        offers=("count",),
        tablet="for a member who does not work in this window; it does not count",
    ),
    "strikes-nothing": FlagRow("Takes nothing back", "Takes back a mark that is not on this sheet."),
    "second-tablet": FlagRow(
        "Two tablets",
        "Marked on one tablet while another was counting. It does not count: strike out the wrong marks.",
        offers=("count", "stand"),
        tablet="on one tablet while another was counting; it does not count",
        at_once=True,
    ),
    "after-out": FlagRow(
        "After being out", "Marked after a miss that puts the entry, or the lifter, out. It does not count.", offers=("count",)
    ),
    "beyond-list": FlagRow(
        "After the list",
        "Counted after the work list was done. It does not count.",
        offers=("count",),
        tablet="after the list was done; it does not count",
    ),
    "finish-short": FlagRow(
        "Finish too early",
        "Finish marked before the work list was done. It is not a finish.",
        tablet="before the list was done; it is no finish",
    ),
    "finish-missing": FlagRow(
        "No finish marked",
        "The work list is done but no finish was marked. Its last repetition counts as the finish.",
        tablet="the list is done, but no finish was marked: its last repetition counts as the finish",
    ),
    "finish-before-work": FlagRow(
        "Finish before the work", "Finish marked before the last repetition. The time of the last repetition stands."
    ),
    "out-of-bounds": FlagRow("Number out of range", "The measured number is outside what the event allows. It does not count."),
    "off-step": FlagRow("Off the smallest step", "Not a multiple of the smallest step.", tablet="not on a whole step"),
    "fast": FlagRow(
        "Faster than human",
        "Sooner after the last one than the movement plausibly allows. It counts.",
        offers=("discount",),
        tablet="very soon after the one before",
    ),
    "no-declaration": FlagRow("No declaration", "Lifted without a declaration. It counts.", tablet="without a declaration"),
    "load-differs": FlagRow("Another load", "The load on the bar was not the load declared."),
    "loaded-wrong": FlagRow("Bar loaded wrong", "The bar carried another load than declared, or its two ends differed."),
    "misload-again": FlagRow(
        "Bar loaded wrong", "The bar was loaded wrong. It does not count: the declared load may be lifted again."
    ),
    "misload-choose": FlagRow(
        "Bar loaded wrong", "The bar was loaded wrong. It counts until the lifter chooses to lift the declared load again."
    ),
    "loads-nothing": FlagRow("Nothing declared", "Reports what was on a bar for which nothing was declared."),
    "declared-late": FlagRow(
        "Declared too late", "Declared after the bar had left the rack. It applies to the next lift, not this one."
    ),
    # What these four keep out, a ruling may let stand all the same.
    "opener-late": FlagRow(
        "Opener changed late",
        "Changed an opener after the time until which that is allowed. The opener before it stands.",
        offers=("admit",),
    ),
    "changes-over": FlagRow(
        "One change too many",
        "Changed a load more often than the event allows. The load before it stands.",
        offers=("admit",),
    ),
    "change-late": FlagRow(
        "Changed too late",
        "Said when the attempt's clock had too little time left for it. The load before it stands.",
        offers=("admit",),
    ),
    "change-lower": FlagRow(
        "Changed to less", "Lowered a load where a change may not. The load before it stands.", offers=("admit",)
    ),
    # What these two leave open, a ruling settles: it stands, or the desk takes it back.
    "opener-doubt": FlagRow(
        "Opener changed as time ended",
        "Changed an opener as near the time until which that is allowed as the clocks may be off: in time or too late, they can't"
        " tell. It stands until it is taken back.",
        offers=("admit",),
        at_once=True,
    ),
    "change-doubt": FlagRow(
        "Changed as time ended",
        "Said as near the time until which that is allowed as the clocks may be off: in time or too late, they can't tell. It"
        " stands until it is taken back.",
        offers=("admit",),
        at_once=True,
    ),
    "begun-unseen": FlagRow(
        "Under an old load",
        "The bar left the rack under a declaration that a newer one had replaced; the newer one applies to the next lift.",
    ),
    "decided-early": FlagRow(
        "Decided before the lift",
        "Decided before the bar was marked as out of its rack. It counts until it is ruled otherwise.",
        tablet="decided before the bar left the rack",
        at_once=True,
        beside=True,
    ),
    "two-on-bar": FlagRow("Two lifters on one bar", "Another lifter had the bar out at that moment."),
    "begun-late": FlagRow("Begun after the bell", "The bar left the rack after the bell. It does not count."),
    "begun-doubt": FlagRow(
        "Begun at the bell",
        "The bar left the rack as near the bell as the clocks may be off: before or after it, they can't tell. It counts until it"
        " is ruled otherwise.",
        tablet="begun at the bell; the clocks can't tell whether in time",
        at_once=True,
    ),
    "attempt-late": FlagRow("Begun too late", "The bar left the rack after the time for an attempt. It does not count."),
    "attempt-doubt": FlagRow(
        "Begun as time ended",
        "The bar left the rack as near the end of the attempt's time as the clocks may be off: in time or too late, they can't"
        " tell. It counts until it is ruled otherwise.",
        tablet="begun as its time ended; the clocks can't tell whether in time",
        at_once=True,
    ),
    "small-increase": FlagRow("Too small an increase", "Less than the smallest increase after a good lift. It does not count."),
    "decided-twice": FlagRow(
        "Decided both ways",
        "One judge decided the lift on two tablets, not alike. The one that was heard first stands; this one does not count.",
        offers=("admit",),
        tablet="decided on another tablet before, and not alike; it does not count",
        at_once=True,
    ),
    "judges-waiting": FlagRow(
        "Judges not finished", "Waits for the other judges. It does not count until two agree, or the bar is racked."
    ),
    "judges-alone": FlagRow(
        "One judge alone", "The other two judges did not decide. The lane judge's decision stands, provisionally."
    ),
    "judges-split": FlagRow(
        "Judges differ", "One judge did not decide and the other two differ. The lane judge's decision stands, provisionally."
    ),
    "judges-silent": FlagRow("Judge silent", "The lane judge did not decide, nor did two others agree. It does not count."),
    "no-records": FlagRow("No records here", "Declared as a record attempt where the event has none."),
    "after-rack": FlagRow("After the bar was racked", "Judged after the bar of its declaration was racked. It counts."),
    "below-bar": FlagRow("Below the bar", "The load is less than the bar weighs.", tablet="less than the bar weighs"),
    "heavy": FlagRow("Very heavy", "Heavier than plausible for the movement. It counts.", tablet="heavier than expected"),
    "attempt-over": FlagRow(
        "One attempt too many",
        "One attempt more than the event allows. It does not count.",
        tablet="one attempt too many; it does not count",
    ),
    "put-out": FlagRow("Out on misses", "After enough misses in a row to put the lifter out. It does not count."),
    "second-try": FlagRow("A second try", "A second try where the event allows only one. It does not count."),
    "below-asked": FlagRow(
        "Below the required load",
        "Less than the load required there. It does not count.",
        tablet="less than the required load; it does not count",
    ),
    "went-down": FlagRow("Load went down", "Lighter than a load already tried, where loads may not go down. It does not count."),
}


def flag_key(assignment: str, run: int, why: str, window: int | None) -> str:
    """Names a flag: the same whenever it is found again."""
    return f"{assignment}:{run}:{why}:{'' if window is None else window}"


def told_of(flags: Iterable[Flag]) -> list[Flag]:
    """What is said of the odd marks of a sheet: that one counts is not said where another flag on it says that it does not."""
    found = list(flags)
    out = {flag.mark for flag in found if FLAGS[flag.why].keeps_out}
    return [flag for flag in found if flag.mark not in out or not FLAGS[flag.why].says_it_counts]


def settled_marks(rulings: Iterable[Ruling]) -> set[tuple[str, str]]:
    """The marks that somebody has looked at, each with what was odd about it. `rulings` are those that stand."""
    done = [(str(ruling.body["flag"]).split(":"), ruling.body["marks"]) for ruling in rulings if ruling.kind == "flag"]
    return {(str(mark), key[2]) for key, marks in done if len(key) == 4 for mark in marks}
