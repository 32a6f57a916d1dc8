"""What lies around the work, told once more: how long it lasts, what it is done with, where a run goes."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok
from app.rules.values.units import Load
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask

Rows = Mapping[str, frozenset[str]]
WORDS_OF_A_NAME = 3
LEAST_LIFTS = 2
LETTING_GO = {"go", "down", "off", "drop", "dropping", "dropped"}
DENIALS = {"no", "not", "don't", "never", "without"}


def _only(words: list[str], rows: Rows, *names: str) -> bool:
    return all(any(word in rows[name] for name in (*names, "carries_nothing")) for word in words)


def lasts_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Fifteen minutes on the clock and I want you moving the whole time`, where all of it is one window of so long."""
    numbers = [tok for tok in toks if tok.values]
    if len(numbers) != 1 or numbers[0].kind != "DUR" or len(numbers[0].values) != 1 or any(tok.key for tok in toks):
        return False
    lasting = {str(format.windows[0].seconds)} if len(format.windows) == 1 else {str(format.length_ms // 1000)}
    said = any(word in rows["lasting"] for word in words)
    return numbers[0].values[0] in lasting and said and _only(words, rows, "lasting", "of_lasting")


def rest_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Rest whatever is left of your 3 minutes`, where so much is to be done in each of several windows in a row."""
    left_of = any(word in rows["left_of"] for word in words) or any(tok.kind == "LEFTOF" for tok in toks)
    told = left_of or words.count("rest") > 1 or any(word in rows["left_over"] for word in words)
    if any(word == "remaining" and after in rows["windows"] for word, after in pairwise(words)):
        return False  # `rest every remaining minute`: all those that are left?
    if not told or not any(word in rows["rests"] for word in words) or any(tok.key for tok in toks):
        return False
    tasks = [format.tasks[window.task] if window.task else None for window in format.windows]
    so_much = all(isinstance(task, ListTask) and task.rounds for task in tasks if not isinstance(task, CountTask))
    so_much = so_much and all(task.target for task in tasks if isinstance(task, CountTask))
    lengths = {window.seconds for window in format.windows}
    in_a_row = len(tasks) > 1 and len(lengths) == 1
    numbers = [tok for tok in toks if tok.values]
    fits = all(tok.kind == "DUR" and tok.values == (str(format.windows[0].seconds),) for tok in numbers)
    fits = fits and (not numbers or left_of)  # `rest one minute until the next` is another rest
    return so_much and in_a_row and fits and _only(words, rows, "rests", "left_of", "left_over", "windows", "of_rests")


def total_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Mini total`, as a heading, where the best of several lifts are added up."""
    if len(words) > WORDS_OF_A_NAME or "total" not in words or any(tok.values or tok.key for tok in toks):
        return False
    lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    summed = len(format.scores) == 1 and len(format.scores[0].parts) > 1
    return summed and len(lifts) == len(format.tasks) >= LEAST_LIFTS and _only(words, rows, "of_totals")


def unbroken_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`No letting go of the bar`, where all that is done is a complex: several lifts in one go."""
    lifts = [format.movements[task.movement].name for task in format.tasks.values() if isinstance(task, LiftTask)]
    complexes = bool(lifts) and len(lifts) == len(format.tasks) and all(" + " in name for name in lifts)
    said = set(words)
    denied = DENIALS & said and LETTING_GO & said and {"bar", "barbell"} & said
    return complexes and bool(denied) and not any(tok.values or tok.key for tok in toks) and _only(words, rows, "lets_go")


def unscaled_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`No scaling`, where there is no scaled version."""
    told = bool({"scaling", "scaled"} & set(words)) and "no" in words
    plain = not any(tok.values or tok.key for tok in toks) and all(one.ranked != "after" for one in format.variants)
    return told and plain and _only(words, rows, "scaling")


def course_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`The run is out of the big door, round the pond and back`; its number is what is run, or half of it: half where it is told
    of one way, or where to turn."""
    way = ("back" in words and bool({"out", "to"} & set(words))) or any(word in rows["turns_at"] for word in words)
    if not way or not _only(words, rows, "turns_at", "course"):
        return False
    told = [tok for tok in toks if tok.values]
    halved = len(told) > 1 or bool({"each", "way", "to"} & set(words)) or any(word in rows["turns_at"] for word in words)
    lengths = set(_distances(format, halved))
    fits = all(
        tok.kind == "LENG" and tok.unit == "M" and len(tok.values) == 1 and Fraction(tok.values[0]) in lengths for tok in told
    )
    named = all(tok.key in _travelled(format) for tok in toks if tok.key)
    return bool(lengths) and fits and named


def gear_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Equipment: 12 kettlebells, mats, the big timer`: its loads are those of the event, and no number is of work."""
    first = words[0] if words else ""
    if first not in rows["gear_heads"] or any(tok.key and tok.kind == "MOVE" for tok in toks):
        return False
    loads = {(Fraction(load.amount), load.unit) for load in _loads(format)}
    for tok in toks:
        load = tok.kind == "LOAD" and len(tok.values) == 1 and (Fraction(tok.values[0]), tok.unit.lower()) in loads
        if tok.values and not load and tok.kind not in ("BARE", "COUNT", "TIMES"):
            return False
    return _only(words, rows, "gear_heads", "pieces", "of_pieces")


def _items(format: Format) -> Iterator[tuple[str, str]]:
    """Of every line of a list the movement, and its note."""
    for task in format.tasks.values():
        if isinstance(task, ListTask):
            for item in task.items:
                yield format.movements[item.movement].library or item.movement, item.note or ""


def _travelled(format: Format) -> set[str]:
    return {key for key, note in _items(format) if note.split(" ")[-1:] in (["m"], ["km"])}


def _distances(format: Format, halved: bool) -> Iterator[Fraction]:
    """Half of each distance in metres, there and back; and all of it, where it need not be half."""
    for _, note in _items(format):
        number, _, unit = note.partition(" ")
        if unit in ("m", "km") and number.replace(".", "", 1).isdigit():
            metres = Fraction(number) * (1000 if unit == "km" else 1)
            yield from (metres / 2, *(() if halved else (metres,)))


def _loads(format: Format) -> Iterator[Load]:
    for task in format.tasks.values():
        if isinstance(task, ListTask):
            yield from (item.load for item in task.items if item.load)
