"""The competition file as bytes: written one way, read with a sentence for whatever is wrong. Rules only, no server.

One record stands on each line and every object's keys are sorted, so that two exports of one ledger differ in nothing but the
time they were made, and a line tool can show what changed between two.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from io import BytesIO
from itertools import chain, repeat
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from app.rules.records.document import VERSION, CompetitionFile, Ledger, Run
from app.rules.records.marks import Mark, received_plain
from app.rules.records.references import awaited_marks, reference_faults
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.values.units import shown

MOST_BYTES = 128 * 1024 * 1024  # half a million marks with room to spare; a larger file is a mistake or an attack

RECORD_LISTS = (
    *(
        "divisions",
        "clubs",
        "athletes",
        "measures",
        "judges",
        "entries",
        "plate_sets",
        "lane_plates",
        "events",
        "heats",
        "openers",
        "protests",
    ),
    *("runs", "rulings", "marks"),
)


class BadFile(ValueError):
    """Raised when a competition file can't be used; its text says where the fault is and what is allowed there."""


def make_file(
    roster: Roster,
    runs: Sequence[Run],
    rulings: Sequence[Ruling],
    marks: Iterable[Mark],
    made_wall_ms: int,
    ledger: Ledger | None = None,
) -> CompetitionFile:
    """The competition file of these records, in the one order that they are written in."""
    marks = list(marks)
    return CompetitionFile(
        **{name: getattr(roster, name) for name in Roster.model_fields},
        made_wall_ms=made_wall_ms,
        ledger=ledger,
        awaited=awaited_marks(marks, rulings),
        runs=tuple(sorted(runs, key=lambda run: (run.heat, run.number))),
        rulings=tuple(sorted(rulings, key=lambda ruling: (ruling.made_wall_ms, ruling.id))),
        marks=tuple(sorted(marks, key=lambda mark: (mark.sheet, mark.order))),
    )


def write_file(file: CompetitionFile) -> bytes:
    """The file as UTF-8 JSON: keys sorted, one record on each line."""
    plain = file.model_dump(mode="json", exclude={"marks"})
    out = BytesIO()
    for before, name in zip(chain("{", repeat(",")), sorted((*plain, "marks")), strict=False):
        out.write(f"{before}\n{_compact(name)}: ".encode())
        # Record by record: marks are nearly all of a long day's file, and as plain values or texts would be many times its size.
        for text in _member(name, map(received_plain, file.marks) if name == "marks" else plain[name]):
            out.write(text.encode())
    out.write(b"\n}\n")
    return out.getvalue()


def read_file(data: bytes) -> CompetitionFile:
    """The competition in a file. Raises BadFile with a sentence that names the place of the first fault."""
    if len(data) > MOST_BYTES:
        raise BadFile(f"The file is larger than {MOST_BYTES // 1024 // 1024} MB. Competition files never are.")
    text, raw = _parse(data)
    if not isinstance(raw, dict) or raw.get("file") != "lane-ledger-competition":
        raise BadFile('This is not a competition file: at the top it must say "file": "lane-ledger-competition".')
    if type(raw.get("version")) is not int or raw["version"] not in range(1, VERSION + 1):  # true is no number, 3.0 none of these
        given = shown(str(raw.get("version")))
        raise BadFile(f"At /version: this app reads versions 1 to {VERSION} of the competition file, not {given}.")
    try:
        # From JSON and strictly: true is no number, and neither is “5”.
        file = CompetitionFile.model_validate_json(text, strict=True)
    except ValidationError as wrong:
        raise BadFile(_sentence(wrong)) from None
    check_whole(file)
    return file


def check_whole(file: CompetitionFile) -> None:
    """What the shapes of single records can't tell: numbers and ids that stand once, and that whatever is named is there. Raises
    BadFile."""
    _check_heats(file)
    _check_rulings(file)
    _check_references(file)


def _member(name: str, value: Any) -> Iterator[str]:
    if name not in RECORD_LISTS:
        yield _compact(value)
        return
    before = "[\n"
    for record in value:
        yield before + _compact(record)
        before = ",\n"
    yield "[]" if before == "[\n" else "\n]"


_compact = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode


def _parse(data: bytes) -> tuple[str, Any]:
    """The file as text and as plain values, for what a shape can't tell: a name that is there twice, NaN."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise BadFile(f"The file is not UTF-8 text: byte {wrong.start + 1} can't be read.") from None
    try:
        return text, json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_repeats)
    except json.JSONDecodeError as wrong:
        raise BadFile(f"The file is not JSON: line {wrong.lineno}, column {wrong.colno}: {wrong.msg}.") from None
    except RecursionError:
        raise BadFile("The file is not a competition file: its brackets are nested too deep.") from None
    except BadFile:
        raise
    except ValueError:
        raise BadFile("The file holds a number with too many digits.") from None


def _no_constant(name: str) -> Any:
    raise BadFile(f"The file holds {name}, which is not a number in JSON.")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise BadFile(f"The file says “{shown(_first_twice(pairs))}” twice in one object. Each name may stand once.")
    return found


def _first_twice(pairs: list[tuple[str, Any]]) -> str:
    seen: set[str] = set()
    return next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]


def _sentence(wrong: ValidationError) -> str:
    errors = wrong.errors(include_url=False)
    first = _one_error(errors[0])
    return first if len(errors) == 1 else f"{first} ({len(errors) - 1} more after this.)"


def _one_error(error: ErrorDetails) -> str:
    where = "/" + "/".join(_escaped(step) for step in error["loc"] if not _is_tag(step))
    return f"At {where}: {_what(error)}" if error["loc"] else _what(error)


def _escaped(step: int | str) -> str:
    """One step of a JSON pointer (RFC 6901)."""
    return shown(str(step)).replace("~", "~0").replace("/", "~1")


def _is_tag(step: int | str) -> bool:
    """Pydantic adds the variants that it tried to the path; they are not in the file."""
    return isinstance(step, str) and (step.startswith(("function-", "tuple[", "literal[", "constrained-")) or "]" in step)


def _what(error: ErrorDetails) -> str:
    told = error.get("ctx", {})
    match error["type"]:
        case "missing":
            return "this field is missing."
        case "extra_forbidden":
            return "a competition file has no such field here."
        case "json_invalid":
            return f"The file is not JSON: {told['error']}."
        case "value_error":
            return str(told["error"])
        case "string_pattern_mismatch":
            return f"{_given(error)} does not fit. Allowed: text that matches {told['pattern']}"
        case "literal_error" | "enum" | "union_tag_invalid":
            return f"{_given(error)} does not fit. Allowed: {told.get('expected') or told.get('expected_tags')}."
        case _:
            return f"{_given(error)} does not fit. {error['msg']}."


def _given(error: ErrorDetails) -> str:
    given = error["input"]
    return "a list or object" if isinstance(given, dict | list) else f"“{shown(str(given))}”"


def _check_heats(file: CompetitionFile) -> None:
    seen: set[tuple[str, int]] = set()
    for index, heat in enumerate(file.heats):
        if (heat.event, heat.number) in seen:
            raise BadFile(f"At /heats/{index}/number: this event already has a heat {heat.number}. Each number may stand once.")
        seen.add((heat.event, heat.number))


def _check_rulings(file: CompetitionFile) -> None:
    ids: set[str] = set()
    for index, ruling in enumerate(file.rulings):
        if ruling.id in ids:
            raise BadFile(f"At /rulings/{index}/id: an earlier ruling has this id. Each id may stand once.")
        ids.add(ruling.id)


def _check_references(file: CompetitionFile) -> None:
    """Everything that a record names must be there: what names nothing, or something of another event, may be a forgery."""
    for where, sentence in reference_faults(file):
        raise BadFile(f"At {where}: {sentence}")
