"""Who does what of a pair or a team, told once more: what members are called, whose the numbers are, what counts in step or while
another holds, and what those do who do not work."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.things import HELD
from app.rules.workout.formats import Format, ListTask, Window
from app.rules.workout.tasks import movements_of

Rows = Mapping[str, frozenset[str]]
DENIALS = {"no", "not", "don't", "doesn't", "isn't", "aren't", "never", "nothing", "without"}
LETTERS = "abcdefghijkl"
HELD_FAULT, STEP_FAULT = "not_held", "not_together"


def called_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`A pair consists of athlete A and athlete B`, `decide beforehand who is A and who is B`: so many there are."""
    numbers = [value for tok in toks if tok.values for value in tok.values]
    consists = any(word in rows["consists"] for word in words) and set(numbers) <= {"1", str(format.members)}
    plain = format.members > 1 and not _named(toks) and not DENIALS & set(words)
    return plain and (choice_said([*words, *numbers], format.members, rows) or (consists and _names(words, format.members, rows)))


def choice_said(words: list[str], members: int, rows: Rows) -> bool:
    """Whether they are to choose who is who of so many: `decide who's 1 and who's 2`."""
    numbers, left = sorted({word for word in words if word.isdigit()}), [word for word in words if not word.isdigit()]
    chosen = any(word in rows["chooses"] for word in left) and bool({"who", "who's", "which"} & set(left))
    counted = numbers in ([], [str(number) for number in range(1, members + 1)])
    return chosen and counted and _names(left, members, rows)


def _names(words: list[str], members: int, rows: Rows) -> bool:
    """Whether all letters are those of so many members, if any is named, and no word says more."""
    letters = "".join(sorted({word for word in words if len(word) == 1 and word in LETTERS}))
    named = letters in ("", "a") or letters == LETTERS[:members]
    return named and all(len(word) == 1 or _of(word, rows, "consists", "chooses", "of_names") for word in words)


def shared_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`All numbers are for the pair in total, not each`, `thirty per team, not per head`, where they share what is done."""
    shared = format.members > 1 and all(window.who == "any" for window in _worked(format))
    lines = [item for task in format.tasks.values() if isinstance(task, ListTask) for item in task.items]
    amounts = {str(item.reps) for item in lines} | {item.note.split(" ")[0] for item in lines if item.note}
    if not shared or not lines or any(isinstance(item.who, tuple) for item in lines) or _named(toks):
        return False
    if not {value for tok in toks for value in tok.values} <= amounts | {"1", str(format.members)}:
        return False
    told = [word for word in words if word in rows["of_the_whole"] | rows["apiece"] or word in DENIALS]
    return _for_all(told, rows) and all(word in DENIALS or _of(word, rows, "of_the_whole", "apiece", "amounts") for word in words)


def _for_all(told: list[str], rows: Rows) -> bool:
    """Whether it is for all of them that it is told, and what is denied, if anything, that it is for each."""
    denied = [place for place, word in enumerate(told) if word in DENIALS]
    if not any(word in rows["of_the_whole"] for word in told) or len(denied) > 1:
        return False
    each = [place for place, word in enumerate(told) if word in rows["apiece"]]
    if not denied:
        return not each
    return bool(each) and each[0] == denied[0] + 1 and each == list(range(each[0], each[0] + len(each)))


def in_step_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`One synchronised rep = one rep`, `out of sync = no rep`, where something is done in step."""
    numbers = {value for tok in toks for value in tok.values}
    said = any(word in rows["in_step"] for word in words) or {"pair", "pair's", "team", "team's", "both"} & set(words)
    if not said or numbers - {"1"} or _named(toks) or not any(_rules(format, STEP_FAULT)):
        return False
    denied = [after for word, after in pairwise(words) if word in DENIALS]
    rep = bool({"rep", "reps", "repetition", "repetitions"} & set(words)) or any(
        tok.kind in ("NOREP", "REPS", "REP") for tok in toks
    )
    one = rep and (bool(numbers) or "one" in words) and not denied
    none = rep and denied in (["rep"], ["reps"], ["repetition"]) and not numbers
    how = "together" in words and not denied
    known = all(word in DENIALS or _of(word, rows, "in_step", "of_steps") for word in words)
    return known and (one or none or how) and words.count("each") == 0


def held_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`Reps only count while the partner is hanging`, where all that one does counts only while the other holds."""
    known = all(_such(format, tok.key) for tok in toks if tok.key)
    return known and bool(_worked(format)) and all(_rules(format, HELD_FAULT)) and held_said(words, toks, rows)


def held_said(words: list[str], toks: list[Tok], rows: Rows) -> bool:
    """Whether a sentence says that what one does counts only while another holds: `burpees done while the plank is down don't
    count`, `if the plank drops, stop until it is up again`."""
    if any(tok.values for tok in toks) or not all(word in DENIALS or _of(word, rows, *OF_HOLDS) for word in words):
        return False
    holds = any(word in rows["holds"] for word in words) or any(tok.kind == "HOLD" or tok.key in HELD for tok in toks)
    falls = any(word in rows["falls"] for word in words)
    denied = sum(word in DENIALS for word in words)
    if any(word in rows["counts"] for word in words) and any(word in rows["meanwhile"] for word in words):
        said = not falls if denied in (0, 2) else falls and "only" not in words
        return holds and said
    halted = any(word in rows["halts"] for word in words) and {"until", "till"} & set(words)
    return bool(halted) and falls and not denied and holds


OF_HOLDS = ("holds", "falls", "meanwhile", "halts", "of_holds", "counts")


def waits_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`The athlete not working stays on the mat`, `the other one just watches and counts`, where one works and nobody holds."""
    alone = [window for window in _worked(format) if isinstance(window.who, tuple) and len(window.who) < format.members]
    if not alone or len(alone) < len(_worked(format)) or any(window.holding for window in alone) or _named(toks):
        return False
    numbers = {value for tok in toks for value in tok.values} - {"1"}
    others = bool(rows["others"] & set(words)) or ("not", "working") in pairwise(words)
    told = others and any(word in rows["waits"] for word in words) and words.count("not") <= 1
    return told and numbers <= {str(format.members - 1)} and all(_of(word, rows, "others", "waits", "of_waits") for word in words)


def alone_again(words: list[str], toks: list[Tok], format: Format, rows: Rows) -> bool:
    """`One on the bar at a time`, where they share windows in each of which one thing is done."""
    shared = [window for window in _worked(format) if window.who == "any"]
    single = bool(shared) and not any(isinstance(format.tasks[window.task or ""], ListTask) for window in shared)
    numbers = {value for tok in toks for value in tok.values}
    told = numbers <= {"1"} and ("one" in words or numbers) and ("a", "time") in pairwise(words)
    return single and bool(told) and not _named(toks) and all(_of(word, rows, "of_one", "pieces") for word in words)


def _of(word: str, rows: Rows, *names: str) -> bool:
    return any(word in rows[name] for name in (*names, "carries_nothing"))


def _named(toks: list[Tok]) -> bool:
    return any(tok.key for tok in toks)


def _worked(format: Format) -> list[Window]:
    return [window for window in format.windows if window.task]


def _rules(format: Format, fault: str) -> Iterator[bool]:
    """Of every movement that is done whether it has such a fault."""
    for task in format.tasks.values():
        for key in movements_of(task):
            yield any(one.id == fault for one in format.movements[key].faults)


def _such(format: Format, key: str) -> bool:
    """Whether a movement is one of the event's, done or held."""
    known = {movement.library or name for name, movement in format.movements.items()}
    return any(one.endswith(key) or key.endswith(one) or one.startswith(key) for one in known)
