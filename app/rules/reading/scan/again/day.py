"""What is told of the day beside the work: titles, hours of heats and lanes, pages, lists of equipment."""

import re
from fractions import Fraction

from app.rules.reading.scan.again.saying import Rows, Saying, done_in, each_version, words_said
from app.rules.reading.scan.pieces import NTH
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, ListTask

EARLIEST, LATEST = 7, 22  # hours of a day at which something of a competition begins
HOUR = re.compile(r"\b([012]?\d)[:.]([0-5]\d)(?:\s*[ap]\.?m\.?)?(?![\d:])", re.IGNORECASE)
BEFORE = re.compile(r"\b\d{1,2}\s*(?:min|mins|minutes)\s+(?:before|earlier|apart)\b", re.IGNORECASE)
NUMBERED = re.compile(
    r"\b(heats?|waves?|lanes?|platforms?|flights?|events?|week|day|part|test|year|workout|stage|grade)\.?\s*#?\d{1,2}"
    r"(?:\s*(?:-|–|to|and|&|of|/)\s*\d{1,2}\b(?!:))*",
    re.IGNORECASE,
)
PAGE = re.compile(r"\bpages?\s+(\d{1,3})(?:\s+of\s+\d{1,3})?\b", re.IGNORECASE)
LABEL = re.compile(r"^\W*\d+(?:\.\d+)*[.)]?\s+(?=[A-Z])")  # `6.3.4 Equipment`
OF_THE_CLOCK = re.compile(r"\b(?:of|on) the (?:running |same )?clock\b", re.IGNORECASE)
VERSION = re.compile(r"\bversion\s+(\d{1,2})\b", re.IGNORECASE)
DIGIT = re.compile(r"\d")
PIECES = re.compile(r"\b\d{1,2}(?:\s*x)?\s+(?=[a-z(])(?!kgs?\b|lbs?\b|x\b|in\b|cm\b|m\b|ft\b|cal)", re.IGNORECASE)
WEIGHED = re.compile(r"(?:\d{1,2}\s*x\s*)?(\d{1,3}(?:[.,]\d{1,2})?)\s*(kg|lb)s?\s+([a-z]+)", re.IGNORECASE)
AT_A_PLACE = re.compile(r"(?:@|\b[Aa]t)\s+(?:[Tt]he\s+)?[A-Z][^\d,;:.!?]*$")
LEAST_VERSIONS = 2  # versions that are named where one is no more
LARGE = {"twos": 2, "pairs": 2, "threes": 3, "trios": 3, "fours": 4, "singles": 1, "individual": 1, "individuals": 1}


def titled_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Floor press night @ The Old Tannery`, `Rower test, event 1 of 4` in the first line: names of what is done in the event, of
    a day and a house, and its members."""
    if not said.first:
        return False
    left = AT_A_PLACE.sub("", NUMBERED.sub(r" \1 ", said.text))
    words = words_said(left)
    several = sum(1 for window in format.windows if window.task) > 1
    if (
        not said.first
        or DIGIT.search(left)
        or not (rows["titles"] | (rows["of_windows"] if several else frozenset())) & set(words)
    ):
        return False
    named = {part for name in done_in(format) for part in name.split()}
    allowed = rows["titles"] | rows["of_titles"] | rows["carries_nothing"] | (rows["of_windows"] if several else frozenset())
    if any(word in LARGE for word in words):
        allowed |= {"only"}  # `singles only`
    return all(
        word.removesuffix("'s") in allowed or LARGE.get(word) == format.members or _of(word, named) for word in words
    ) and bool(words)


def _of(word: str, named: set[str]) -> bool:
    """`Rowing`, `snatch`, `presses`: a word of what is done."""
    return any(word.removesuffix(ending) in named for ending in ("", "s", "es", "ing", "er"))


def hours_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Heat 1 9:40 / heat 2 10:00`, `at check-in 15 min before`: hours of the day, heats and lanes, and no more."""
    if not said.any(rows, "heats"):
        return False
    left = NUMBERED.sub(r" \1 ", BEFORE.sub(" before ", said.text))
    hours = [(int(one[1]), int(one[2])) for one in HOUR.finditer(left)]
    own_clock = bool({"heat", "heats"} & set(said.words)) or not {"wave", "waves"} & set(said.words)
    on_the_clock = any(hour * 60 + minute <= format.length_ms // 1000 for hour, minute in hours)  # `wave 2 starts at 10:00`
    own_clock = own_clock and not OF_THE_CLOCK.search(said.text)
    if any(not EARLIEST <= hour <= LATEST for hour, _ in hours) or (on_the_clock and not own_clock):
        return False
    told = bool(hours) or BEFORE.search(said.text) is not None
    left = HOUR.sub(" ", left)
    words = words_said(left)
    known = rows["heats"] | rows["of_hours"] | rows["carries_nothing"]
    return (
        told and any(word in rows["heats"] for word in words) and not DIGIT.search(left) and all(word in known for word in words)
    )


def page_again(said: Saying, _format: Format, rows: Rows) -> bool:
    """`Page 3 of 6`, `ignore page 2, that is last year's`: a page that is none of this text."""
    pages = {found[1] for found in PAGE.finditer(said.text)}
    if not pages:
        return False
    left = PAGE.sub(" ", said.text)
    words = words_said(left)
    elsewhere = {found[1] for found in PAGE.finditer(said.elsewhere)}
    plain = not DIGIT.search(left) and all(word in rows["of_pages"] | rows["carries_nothing"] for word in words)
    return bool(pages) and plain and not (words and elsewhere)


def version_again(said: Saying, _format: Format, rows: Rows) -> bool:
    """`Version 2, please bin version 1`: that there was another text, where nothing else speaks of versions."""
    told = [int(number) for number in VERSION.findall(said.text)]
    if len(told) < LEAST_VERSIONS:
        return False
    left = VERSION.sub(" version ", said.text)
    words = words_said(left)
    plain = not DIGIT.search(left) and all(word in rows["versions_of_it"] | rows["carries_nothing"] for word in words)
    alone = "version" not in said.elsewhere.casefold() and not any(f"v{number}" in said.elsewhere for number in told)
    return told[0] == max(told) and plain and alone


def ends_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`And done after the third`, where there are three rounds, or three windows."""
    if not said.any(rows, "ended") or "after" not in said.words or said.keys:
        return False
    told = {NTH.index(word) + 1 for word in said.words if word in NTH} | {int(one) for one in said.numbers if one.isdigit()}
    lists = [task for task in format.tasks.values() if isinstance(task, ListTask)]
    windows = sum(1 for window in format.windows if window.task)
    so_often = {lists[0].rounds} if len(lists) == len(format.tasks) == windows == 1 else {windows}
    known = frozenset(NTH) | rows["ended"] | rows["of_ends"] | rows["carries_nothing"]
    return told == so_often and all(word in known for word in said.words)


def listed_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Equipment: 12 kettlebells, mats, 2 x 10 kg plates`, or below such a heading, to the end of its line: each load is one of
    the event, or of the bar and its plates where the event says what they weigh together."""
    if not said.any(rows, "pieces"):
        return False
    heads = [word for word in words_said(said.above) if word not in rows["carries_nothing"]]
    words = words_said(said.line)
    below = len(heads) == 1 and heads[0] in rows["gear_heads"]
    if not (below or (words and words[0] in rows["gear_heads"])) or not _of_equipment(said.line, rows):
        return False
    loads: set[tuple[Fraction, str]] = {
        (Fraction(load.amount), load.unit) for one in each_version(format) for load in _loads(one)
    }
    bars: set[tuple[Fraction, str]] = {
        (Fraction(task.bar.amount), task.bar.unit) for task in format.tasks.values() if isinstance(task, LiftTask)
    }
    return all(_fits(found, loads, bars, rows) for found in WEIGHED.finditer(said.line))


def _fits(found: re.Match[str], loads: set[tuple[Fraction, str]], bars: set[tuple[Fraction, str]], rows: Rows) -> bool:
    load, piece = (Fraction(found[1].replace(",", ".")), found[2].casefold()), found[3].casefold()
    plates = piece.startswith(("plate", "disc")) and bool(bars)
    part = piece in rows["of_a_bar"] and not bars and any(load < one for one in loads)
    return load in loads or load in bars or plates or part


def is_equipment(said: str, rows: Rows) -> bool:
    """Whether a line lists equipment and nothing that is done: what is weighed are bars and plates."""
    words = words_said(said)
    headed = bool(words) and words[0] in rows["gear_heads"] and len(words) > 1
    return headed and all(one[3].casefold() in rows["of_a_bar"] for one in WEIGHED.finditer(said)) and _of_equipment(said, rows)


def _of_equipment(said: str, rows: Rows) -> bool:
    left = PIECES.sub(" ", WEIGHED.sub(r" \3 ", LABEL.sub("", said)))
    known = rows["gear_heads"] | rows["pieces"] | rows["of_pieces"] | rows["carries_nothing"]
    return not DIGIT.search(left) and all(word in known for word in words_said(left))


def _loads(format: Format) -> list[Load]:
    lists = [task for task in format.tasks.values() if isinstance(task, ListTask)]
    return [item.load for task in lists for item in task.items if item.load]


OF_THE_DAY = titled_again, hours_again, page_again, version_again, ends_again, listed_again
