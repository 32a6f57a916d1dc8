"""How the work is judged and what it is done with, told beside it: what makes a repetition one, whose bar it is, who loads it.

None of it stands in an event, so it is proven only that it can be nothing else: each row is closed, each number and movement is
the event's. A word more, and whether the sentence changes the event is asked.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from app.rules.reading.scan.again.saying import Rows, Saying, done_in, each_version, spaced
from app.rules.workout.formats import Format, LiftTask, ListTask, MeasureTask

HANDS = {"hand", "hands", "grip", "grips"}
PAIRED = {"two", "both", "2"}  # feet, heads of a dumbbell
GRIPPED = {"bar", "barbell", "rope", "ring", "rings", "dumbbell", "dumbbells", "kettlebell", "bell"}
EACH = {"each", "every"}
SHOWN = {"calories": "cal", "metres": "m", "distance": "m"}  # what a monitor shows
UNITS = {"kilograms": "kg", "kg": "kg", "kilos": "kg", "pounds": "lb", "lb": "lb", "lbs": "lb"}


def standard_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Push-ups: chest touches the floor`, `depth = hip crease below the knee`: parts of the body and where they are, and no
    more. What both do at once is a standard where both work at once."""
    words = said.words
    stays = said.any(rows, "stays")
    if not (said.headed or said.any(rows, "bodies")) or not (stays or said.any(rows, "judged")):
        return False
    if not said.of_what_is_done(format):
        return False
    if stays and HANDS & set(words) and GRIPPED & set(words):
        return False  # then nothing is put down
    if any(word in EACH and after not in rows["one_rep"] for word, after in pairwise([*words, ""])):
        return False
    if any(word in ("two", "2") and after not in rows["bodies"] for word, after in pairwise([*words, ""])):
        return False
    together = format.members > 1 and all(window.who == "all" for window in format.windows if window.task)
    at_once = (
        *(("at_once",) if together else ()),
        *(("of_edges",) if said.headed else ()),
    )  # `feet on the mat to finish` ends it
    paired = all(number == "2" for number in said.numbers)
    return paired and said.only(rows, "bodies", "judged", "stays", "of_judging", "one_rep", *at_once)


def command_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Wait for the down call on every rep or it does not count`: the referee's commands."""
    told = said.any(rows, "commands") and said.any(rows, "waits_for") and not said.numbers and not said.keys
    return told and bool(format.tasks) and said.only(rows, "commands", "waits_for", "of_commands")


def repeat_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`No rep = repeat it`: a repetition that was none is done once more, as anywhere."""
    told = said.any(rows, "repeats") and {"no", "rep"} <= set(said.text.casefold().replace("-", " ").split())
    plain = not said.numbers and not said.keys
    words = [part for word in said.words for part in word.split("-")]
    return bool(format.tasks) and told and plain and all(word in rows["repeats"] | rows["of_repeats"] for word in words)


def loading_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Athletes load their own bars`, `plates may be loaded by the athlete only`."""
    told = said.any(rows, "loading") and said.any(rows, "by_oneself") and not said.numbers and not said.keys
    return told and _loaded(format) and said.only(rows, "loading", "by_oneself", "of_loading")


def declared_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`The load of each attempt is chosen by the athlete`, where all that is done are lifts whose load is declared."""
    if not said.any(rows, "declared") or not said.any(rows, "declares") or said.numbers or said.keys:
        return False
    lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    free = bool(lifts) and len(lifts) == len(format.tasks) and not any(task.loads or task.rise for task in lifts)
    fits = all(UNITS[word] == format.unit for word in said.words if word in UNITS)
    words = [word for word in said.words if word != "the"]
    by_others = any(word in rows["staffed"] and before != "to" for before, word in pairwise(["", *words]))
    told = not by_others and ("changed" not in words or bool({"may", "can"} & set(words)))
    return free and fits and told and said.only(rows, "declared", "declares", "of_declaring", "staffed")


def throughout_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Same bar the whole way`, where nothing has two loads."""
    if "same" not in said.words or not said.any(rows, "gear_alike") or said.numbers or said.keys:
        return False
    told = said.any(rows, "throughout")
    lifted = any(isinstance(task, LiftTask) for task in format.tasks.values())
    alike = not lifted and all(len(_loads(one)) <= 1 for one in each_version(format))
    if said.words[:1] == ["same"] and len(said.words) == 2:
        told = alike and _all_of_it_loaded(said.words[1].rstrip("s"), format)
    return told and alike and said.only(rows, "gear_alike", "throughout", "of_throughout")


def _all_of_it_loaded(gear: str, format: Format) -> bool:
    """`Same dumbbells`: whether several things are done with them by their names, and each has its load."""
    items = [item for task in format.tasks.values() if isinstance(task, ListTask) for item in task.items]
    told = [item for item in items if gear in spaced(format.movements[item.movement].name).split()]
    return len({item.movement for item in told}) > 1 and all(item.load for item in told)


def monitor_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`The monitor must read zero at the start of each set`, `feet stay in the straps until the monitor shows 500`; that it is
    not reset is no matter where all is added up."""
    if not said.any(rows, "monitors") or not said.any(rows, "shows") or not said.of_what_is_done(format):
        return False
    amounts = set(_measured(format))
    machines = any(isinstance(task, MeasureTask) for task in format.tasks.values()) or bool(amounts)
    known = all(one == "0" or (one.isdigit() and Fraction(one) in amounts) for one in said.numbers)
    parts = [part for score in format.scores for part in score.parts]
    reset = "0" not in said.numbers and "zero" not in said.words
    goes_on = not said.any(rows, "denials") or (reset and all(part.take in ("sum", "time") for part in parts))
    shown = {unit for word, unit in SHOWN.items() if word in said.words}
    measured = {task.unit for task in format.tasks.values() if isinstance(task, MeasureTask)}
    known = known and not (measured and shown - measured)
    return machines and known and goes_on and said.only(rows, "monitors", "shows", "of_monitors", "denials")


def complex_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Bar may not be dropped before the jerk is locked out`, `hands stay on the bar from the first clean to the last jerk`,
    where all that is done is a complex that ends so."""
    if not said.any(rows, "stays", "dropping"):
        return False
    lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    names = [format.movements[task.movement].name.casefold().replace("-", " ") for task in lifts]
    if not lifts or len(lifts) < len(format.tasks) or any(" + " not in name for name in names):
        return False
    keys = [key.replace("_", " ") for key in said.keys]
    ends = all(keys and name.split(" + ")[-1].rstrip("s").endswith(keys[-1].rstrip("s")) for name in names)
    begins = len(keys) < 2 or all(keys[0].rstrip("s") in name.split(" + ")[0] for name in names)
    told = said.any(rows, "stays", "dropping") and bool(GRIPPED & set(said.words)) and len(keys) <= 2 and not said.numbers
    denied = said.any(rows, "denials") if said.any(rows, "dropping") else HANDS & set(said.words)
    return bool(ends and begins and told and denied) and said.only(rows, "stays", "dropping", "denials", "of_complexes")


def one_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`A finished run counts as one rep`, `row = 1 rep`: so it does, where nothing else is made of it."""
    ones = [*(word for word in said.words if word == "one"), *said.numbers]
    paired = said.any(rows, "of_pairs")
    if ones not in (["one"], ["1"]) or not said.any(rows, "reps"):
        return False
    parts = [part for score in format.scores for part in score.parts]
    plain = all(part.weight == 1 and part.take != "time" for part in parts)
    if not plain or (paired and format.members == 1):
        return False
    items = [item for task in format.tasks.values() if isinstance(task, ListTask) for item in task.items]
    named = {part for name in done_in(format) for part in name.split()} - rows["worth"]
    things = [*(spaced(key) for key in said.keys), *(word for word in said.words if word in named and word not in rows["reps"])]
    told = [item for item in items if any(_is(thing, format, item.movement) for thing in things)] if things else items
    known = rows["worth"] | rows["reps"] | rows["of_pairs"] | rows["of_ones"] | rows["carries_nothing"] | frozenset(things)
    once = all(item.worth == 1 for item in told)
    return (bool(things) or paired) and once and said.of_what_is_done(format) and all(word in known for word in said.words)


def unchanged_again(said: Saying, _format: Format, rows: Rows) -> bool:
    """`Movements and reps are right`, `the rest and the cap stay as they are`, below what was corrected."""
    told = said.any(rows, "unchanged") and said.any(rows, "of_unchanged") and not said.numbers and not said.keys
    return told and said.only(rows, "unchanged", "of_unchanged")


def reports_again(said: Saying, _format: Format, rows: Rows) -> bool:
    """`And when the horn goes you tell him where you are`: what somebody says to a judge at the end."""
    told = said.any(rows, "reports") and {"when", "at"} & set(said.words) and not said.numbers and not said.keys
    return bool(told) and said.only(rows, "reports", "of_reports")


def _is(thing: str, format: Format, movement: str) -> bool:
    named = format.movements[movement]
    return any(thing in spaced(name) for name in (named.name, named.library or ""))


def _loaded(format: Format) -> bool:
    return any(isinstance(task, LiftTask) for task in format.tasks.values()) or bool(_loads(format))


def _loads(format: Format) -> set[tuple[Fraction, str]]:
    items = [item for task in format.tasks.values() if isinstance(task, ListTask) for item in task.items]
    return {(Fraction(item.load.amount), item.load.unit) for item in items if item.load}


def _measured(format: Format) -> Iterator[Fraction]:
    """Distances and calories of its lines, in their own unit."""
    for task in format.tasks.values():
        for item in task.items if isinstance(task, ListTask) else ():
            number, _, unit = (item.note or "").partition(" ")
            if unit in ("m", "km", "cal", "mi", "ft", "yd") and number.replace(".", "", 1).isdigit():
                yield Fraction(number)


JUDGED = (
    *(standard_again, command_again, repeat_again, loading_again, declared_again, throughout_again, monitor_again),
    *(complex_again, one_again, reports_again, unchanged_again),
)
