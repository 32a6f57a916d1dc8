"""What makes a mark odd, in the words that the head judge reads. The tally names these keys; nothing odd is ever dropped."""

from collections.abc import Iterable, Mapping

from app.rules.records.rulings import Ruling

WHY: Mapping[str, str] = {
    "late": "Marked just after the bell. It counts.",
    "early": "Marked just before its window opened. It counts.",
    "outside": "Marked outside every window that fits it. It does not count.",
    "held": "Marked while the clock was held. It does not count.",
    "held-late": "Marked just after the clock was held. It counts.",
    "no-window": "Marked for a window that has no work. It does not count.",
    "wrong-kind": "This kind of mark does not belong to the work of its window. It does not count.",
    "other-member": "Marked for a member who does not work in its window. It counts for that member.",
    "strikes-nothing": "Takes back a mark that is not on this sheet.",
    "second-tablet": "Marked on a second tablet while the first was counting. It does not count: strike out what is wrong.",
    "after-out": "Counted after the entry missed a target that puts it out. It does not count.",
    "beyond-list": "Counted after the work list was done. It does not count.",
    "finish-short": "Finish marked before the work list was done. It is not a finish.",
    "finish-missing": "The work list is done but no finish was marked.",
    "finish-before-work": "Finish marked before the last repetition. The time of the last repetition stands.",
    "out-of-bounds": "The measured number is outside what the event allows. It does not count.",
    "off-step": "Not a multiple of the least step.",
    "fast": "Faster after the one before than the movement is believed to allow. It counts.",
    "no-declaration": "Lifted without a declaration. It counts.",
    "load-differs": "The load on the bar was not the load declared.",
    "loaded-wrong": "The bar carried another load than declared, or its two ends differed.",
    "misload-again": "The bar was loaded wrong. It does not count: the declared load may be lifted again.",
    "misload-choose": "The bar was loaded wrong. It counts until the lifter chooses to lift the declared load again.",
    "loads-nothing": "Says what was on a bar for which nothing was declared.",
    "declared-late": "Declared after the bar had left the rack. It stands for the next lift, not for this one.",
    "begun-unseen": "The bar left the rack under a declaration that a newer one had replaced; that one stands for the next lift.",
    "two-on-bar": "Another lifter had the bar out at that moment.",
    "begun-late": "The bar left the rack after the bell. It does not count.",
    "attempt-late": "The bar left the rack after the time for an attempt. It does not count.",
    "small-increase": "Less than the least increase after a good lift. It does not count.",
    "judges-waiting": "Waits for the other judges. It does not count until two agree, or the bar is racked.",
    "judges-alone": "The other two judges did not decide. The lane judge's word stands, provisionally.",
    "judges-split": "One judge did not decide and the other two differ. The lane judge's word stands, provisionally.",
    "judges-silent": "The lane judge did not decide, nor did two others agree. It does not count.",
    "no-records": "Declared as a record attempt where the event has none.",
    "after-rack": "Judged after the bar of its declaration was racked. It counts.",
    "below-bar": "The load is less than the bar weighs.",
    "heavy": "Heavier than the movement's bound. It counts.",
    "attempt-over": "One attempt more than the event allows. It does not count.",
    "second-try": "A second try where the event allows one. It does not count.",
    "went-down": "Less than the load before where loads may not go down. It does not count.",
}

# What is odd about a lane that no single mark shows, short: the queue's own words beside those above.
SHORT: Mapping[str, str] = {
    "by-hand": "Clock started by hand",
    "recount": "Counts too far apart",
    "unsent": "Marks still on the tablet",
    "silent": "Silent lane",
    "after-sign-off": "After the sign-off",
    "late": "After the bell",
    "early": "Before the window",
    "outside": "Outside every window",
    "held": "In a hold",
    "held-late": "Into a hold",
    "no-window": "No work there",
    "wrong-kind": "Wrong kind of mark",
    "other-member": "Another member",
    "strikes-nothing": "Takes nothing back",
    "second-tablet": "Two tablets",
    "after-out": "After being out",
    "beyond-list": "Beyond the list",
    "finish-short": "Finish too early",
    "finish-missing": "No finish marked",
    "finish-before-work": "Finish before the work",
    "out-of-bounds": "Number out of bounds",
    "off-step": "Off the least step",
    "fast": "Beyond human rate",
    "loaded-wrong": "Bar loaded wrong",
    "misload-again": "Bar loaded wrong",
    "misload-choose": "Bar loaded wrong",
    "loads-nothing": "Nothing declared",
    "declared-late": "Declared too late",
    "begun-unseen": "Under an old load",
    "two-on-bar": "Two on one bar",
    "begun-late": "Begun after the bell",
    "attempt-late": "Begun too late",
    "small-increase": "Too small an increase",
    "no-records": "No records here",
    "plates": "Not on these plates",
    "no-declaration": "No declaration",
    "load-differs": "Another load",
    "after-rack": "After the bar was racked",
    "below-bar": "Below the bar",
    "heavy": "Very heavy",
    "attempt-over": "One attempt too many",
    "second-try": "A second try",
    "went-down": "Went down",
}


def short_text(why: str) -> str:
    """What a flag is about, in two or three words."""
    return "Far from expected" if why.startswith("far-") else SHORT.get(why, "Odd mark")


def flag_key(assignment: str, run: int, why: str, window: int | None) -> str:
    """Names a flag: the same whenever it is found again."""
    return f"{assignment}:{run}:{why}:{'' if window is None else window}"


def settled_marks(rulings: Iterable[Ruling]) -> set[tuple[str, str]]:
    """The marks that somebody has looked at, each with what was odd about it. `rulings` are those that stand."""
    done = [(str(ruling.body["flag"]).split(":"), ruling.body["marks"]) for ruling in rulings if ruling.kind == "flag"]
    return {(str(mark), key[2]) for key, marks in done if len(key) == 4 for mark in marks}
