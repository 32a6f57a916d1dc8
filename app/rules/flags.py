"""What makes a mark odd, in the words that the head judge reads. The tally names these keys; nothing odd is ever dropped."""

from collections.abc import Mapping

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
    "after-rack": "Judged after the bar of its declaration was racked. It counts.",
    "below-bar": "The load is less than the bar weighs.",
    "heavy": "Heavier than the movement's bound. It counts.",
    "attempt-over": "One attempt more than the event allows. It does not count.",
    "second-try": "A second try where the event allows one. It does not count.",
    "went-down": "Less than the load before where loads may not go down. It does not count.",
}
