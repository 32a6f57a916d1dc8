"""What 100 kB of hostile input costs at each door where files and texts come in: the worst case that a search finds.

The search is a climb: from fragments that regular expressions, readers of JSON and CSV, and our own rules may take long for,
repeated to fill 100 kB, it keeps the slowest and changes it.
"""

import json
import random
import time
from collections.abc import Callable, Sequence
from contextlib import suppress

from app.floor.taking import BadBody, read_body
from app.hall.forms import BadForm
from app.people.entry_file import decoded, guessed_separator, rows_of, tidy
from app.results.competition_file import BadFile, read_file
from app.results.file_texts import check_texts
from app.results.recount import recount_of
from app.rules.records.marks import BadMark, parse_mark
from app.rules.result.results import results
from app.rules.values.lengths import parse_length
from app.rules.values.texts import cleaned, unfit
from app.rules.values.units import BadMeasure, parse_load
from app.rules.workout.written_work import read_work
from tests.bench.figures import Figure, Goal
from tests.builders.fuzz import small_file

SIZE = 100 * 1000
ROUNDS = 60
IN_A_SECOND = Goal("at most", 1.0)

Door = Callable[[bytes], object]

TEXTS = (
    "a",
    " ",
    "\u00a0",
    "\t",
    "o\u0301\u0323",
    "\u200d",
    "a\u200d",
    "\U0001f3f4\U000e0067",
    "'",
    '"',
    "1",
    "1,",
    "1 ",
    ";",
    "10 x ",
    "5'",
    "(",
    "\r\n",
    "\ufeff",
)
JSONS = ('{"a":', "[", '"', "0,", '"k":1,', "{},", '{"id":"x"},', "1e9,", "9", '"\\u0301",', "[],", "-", '"x",')


def run(tell: Callable[[str], None]) -> list[Figure]:
    """The worst case of each door, in seconds of processor time for 100 kB."""
    figures = []
    for name, (measure, door, makers) in DOORS.items():
        tell(f"fuzz: {name}")
        worst = max(_climb(door, maker, random.Random(8)) for maker in makers)
        figures.append(Figure(f"fuzz.{name}_s", f"worst 100 kB found for {measure}", worst, "s", IN_A_SECOND))
    return figures


def _climb(door: Door, maker: Callable[[random.Random, Sequence[str]], bytes], chance: random.Random) -> float:
    """The slowest of many inputs, each made from a change of the slowest so far."""
    pool = TEXTS if maker in (_as_text, _as_list) else JSONS
    kept: list[str] = [chance.choice(pool)]
    worst = 0.0
    for number in range(ROUNDS):
        tried = [pool[number]] if number < len(pool) else _changed(kept, pool, chance)
        data = maker(chance, tried)[:SIZE]
        spent = _spent(door, data)
        if spent > worst:
            worst, kept = spent, tried
    return worst


def _changed(kept: Sequence[str], pool: Sequence[str], chance: random.Random) -> list[str]:
    said = list(kept)
    how = chance.randrange(3)
    if how == 0 or len(said) > 6:
        said = said[1:] or [chance.choice(pool)]
    said.insert(chance.randrange(len(said) + 1), chance.choice(pool))
    return said


def _spent(door: Door, data: bytes) -> float:
    begun = time.process_time()
    door(data)
    return time.process_time() - begun


def _as_text(_: random.Random, parts: Sequence[str]) -> bytes:
    piece = "".join(parts).encode()
    return piece * (SIZE // len(piece) + 1)


def _as_list(chance: random.Random, parts: Sequence[str]) -> bytes:
    return b"Division;Entry;Athlete\nOpen;" + _as_text(chance, parts)


def _as_json(chance: random.Random, parts: Sequence[str]) -> bytes:
    return b'{"file": "lane-ledger-competition", "version": 1, "marks": [' + _as_text(chance, parts)


def _many_records(chance: random.Random, parts: Sequence[str]) -> bytes:
    """A whole competition in which one list is as long as 100 kB allow, each record another or the same."""
    plain = small_file()
    kind = chance.choice(("athletes", "entries", "clubs", "runs", "rulings", "protests", "marks", "openers", "heats", "judges"))
    one = json.dumps(plain[kind][0])
    same = chance.random() < 0.3
    for number in range((SIZE - len(json.dumps(plain))) // (len(one) + 8)):
        copy = json.loads(one)
        if not same:
            copy |= (
                {"id": f"{number:032x}" if kind == "marks" else f"x{number}", "seq": number + 9}
                if kind == "marks"
                else {"id": f"x{number}"}
            )
            copy |= {"number": number + 9} if kind in ("runs", "heats") else {}
            copy |= {"lanes": []} if kind == "heats" else {}
        if kind == "runs":
            copy.pop("id", None)
        if kind == "openers":
            copy.pop("id", None)
        plain[kind].append(copy)
    return json.dumps(plain).encode()


def _many_keys(chance: random.Random, parts: Sequence[str]) -> bytes:
    """One object with as many names as fit, the last there twice."""
    names = [f'"{number}":{len(parts)}' for number in range(SIZE // 10)]
    return ("{" + ",".join([*names, names[-1]]) + "}").encode()


def _file(data: bytes) -> None:
    with suppress(BadFile):
        file = read_file(data)
        check_texts(file)
        recount_of(file, results(file))


def _marks(data: bytes) -> None:
    try:
        raw = read_body(data)
    except BadBody:
        return
    for one in raw[:200]:
        try:
            parse_mark(one)
        except BadMark:
            continue


def _list(data: bytes) -> None:
    with suppress(BadForm):
        text = decoded(data).text
        for row in rows_of(text, guessed_separator(text)):
            for cell in row.cells:
                unfit(tidy(cell))


def _text(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    unfit(cleaned(text))
    unfit(cleaned(text, lines=True), lines=True)


def _measure(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    for read in (lambda: parse_load(text, "kg"), lambda: parse_length(text, "in")):
        try:
            read()
        except BadMeasure:
            continue


def _work(data: bytes) -> None:
    with suppress(ValueError):
        read_work(data.decode("utf-8", "replace"), "kg")


Maker = Callable[[random.Random, Sequence[str]], bytes]
DOORS: dict[str, tuple[str, Door, tuple[Maker, ...]]] = {
    "file": ("a competition file, read and counted", _file, (_as_json, _many_records, _many_keys)),
    "marks": ("a batch of marks", _marks, (_as_json,)),
    "list": ("a list of entries", _list, (_as_list,)),
    "text": ("a name or a note", _text, (_as_text,)),
    "measure": ("a typed load or length", _measure, (_as_text,)),
    "work": ("written work", _work, (_as_text,)),
}
