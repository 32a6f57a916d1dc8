"""What counts, told once more: `Total of the two in kg decides`, `Result = metres rowed + metres skied`."""

from collections.abc import Mapping

from app.rules.reading.scan.pieces import Tok
from app.rules.workout.formats import CountTask, Format, ListTask, MeasureTask, Part

NUMBERS = ("BARE", "COUNT", "TIMES", "ROUNDS", "SETS", "WINDOWS", "ATTEMPTS", "T_SUM", "T_BEST")
MEASURED = {
    "cal": "calories",
    "kJ": "calories",
    "m": "distance",
    "km": "distance",
    "ft": "distance",
    "mi": "distance",
    "s": "seconds",
}
Rows = Mapping[str, frozenset[str]]
UNITS = ("reps", "loads", "calories", "distance", "seconds", "times", "rounds")


def score_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """Whether a sentence says only what an event's one score takes."""
    if len(format.scores) != 1:
        return False
    parts = format.scores[0].parts
    summed, best, low = (any(word in rows[row] for word in words) for row in ("summed", "best_of", "least"))
    told = {row for row in UNITS if any(word in rows[row] for word in words)}
    if not (summed or best or told) or not _known(words, rows) or not _fits(toks, format, parts):
        return False
    done = {kind for part in parts for kind in _counted(format, part)}
    if "rounds" in told:
        if not _endless(format, parts) or "reps" not in told:
            return False  # whole rounds alone may be meant
        told.discard("rounds")
    if done == {"times"}:
        return _of_time(words, told, best or low, summed, format, rows)
    if told and told != done:
        return False
    return not low and _taken(format, parts, summed, best, loads=done == {"loads"}) and format.scores[0].better == "more"


def _known(words: list[str], rows: Rows) -> bool:
    kinds = (*UNITS, "summed", "best_of", "least", "quickest", "scored", "of_scores", "carries_nothing")
    said = any(word in rows["scored"] or word in rows["summed"] or word in rows["best_of"] for word in words)
    return said and all(any(word in rows[kind] for kind in kinds) for word in words)


def _of_time(words: list[str], told: set[str], best: bool, summed: bool, format: Format, rows: Rows) -> bool:
    """`The fastest across the line takes it`: one list, and no other time could be meant."""
    quickest = any(word in rows["quickest"] for word in words)
    plain = told <= {"times"} and not best and (bool(told) or quickest)
    return plain and (not summed or len(format.windows) > 1) and all(part.take == "time" for part in format.scores[0].parts)


def _taken(format: Format, parts: tuple[Part, ...], summed: bool, best: bool, loads: bool) -> bool:
    """Whether it is added up, or the best is taken, as the sentence says."""
    takes = {part.take for part in parts}
    if any(part.drop or part.weight != 1 for part in parts):
        return False
    windows = sum(len(format.window_indexes(part)) for part in parts)
    if loads:
        return takes == {"best"} and (len(parts) > 1 if summed else len(parts) == 1)
    if best:
        return takes == {"best"} and not summed and windows > 1
    return takes == {"sum"} or (windows == 1 and takes <= {"sum", "best"})


def _counted(format: Format, part: Part) -> set[str]:
    found: set[str] = set()
    for index in format.window_indexes(part):
        task = format.tasks.get(format.windows[index].task or "")
        if isinstance(task, MeasureTask):
            found.add(MEASURED.get(task.unit, task.unit))
        elif isinstance(task, CountTask | ListTask):
            found.add("times" if part.take == "time" else "reps" if part.take != "heaviest" else "")
        else:
            found.add("loads")
    return found


def _endless(format: Format, parts: tuple[Part, ...]) -> bool:
    done = [format.tasks.get(format.windows[index].task or "") for part in parts for index in format.window_indexes(part)]
    return all(isinstance(task, ListTask) and task.rounds is None for task in done)


def _fits(toks: list[Tok], format: Format, parts: tuple[Part, ...]) -> bool:
    """Whether every number is one of the event's, and what is named is all that is done."""
    windows = [index for part in parts for index in format.window_indexes(part)]
    tasks = {format.windows[index].task for index in windows}
    several = {len(windows), len(parts), len(tasks), format.members} - {1}
    lasting = {format.windows[index].seconds for index in windows} | {format.length_ms // 1000}
    for tok in toks:
        whole = len(tok.values) == 1 and tok.values[0].isdigit()
        if tok.values and tok.kind == "DUR" and whole and int(tok.values[0]) in lasting:
            continue
        if tok.values and not (tok.kind in NUMBERS and whole and int(tok.values[0]) in several):
            return False
    named = {tok.key for tok in toks if tok.key}
    done = {key for task in tasks for key in _movements(format, task or "")}
    fits = all(any(key.startswith(name) or name.startswith(key) for name in named) for key in done)
    return not named or (fits and all(any(key.startswith(name) or name.startswith(key) for key in done) for name in named))


def _movements(format: Format, name: str) -> set[str]:
    task = format.tasks[name]
    keys = [item.movement for item in task.items] if isinstance(task, ListTask) else [task.movement]
    return {format.movements[key].library or key for key in keys}


def worth_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Every muscle-up is one point`, where each repetition counts one, and nothing else is made of it."""
    numbers = [tok.values for tok in toks if tok.values]
    told = {"every", "each"} & set(words) and all(any(word in rows[row] for row in OF_WORTH) for word in words)
    if (
        not told
        or numbers != [("1",)]
        or any(part.weight != 1 or part.take == "time" for one in format.scores for part in one.parts)
    ):
        return False
    named = {tok.key for tok in toks if tok.key}
    counted = {format.movements[task.movement].library for task in format.tasks.values() if isinstance(task, CountTask)}
    items = [item for task in format.tasks.values() if isinstance(task, ListTask) for item in task.items]
    counted |= {format.movements[item.movement].library for item in items if item.worth == 1}
    return named <= counted - {format.movements[item.movement].library for item in items if item.worth != 1}


OF_WORTH = ("worth", "reps", "calories", "carries_nothing")
