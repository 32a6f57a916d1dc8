"""Tables in a text: a row of headings, and rows whose cells are what their column is called."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from app.rules.reading.scan.pieces import Tok

LEAST_HEADINGS = 2
LEAST_APART = 3  # cells without a sign between them
BLANKS, SEMICOLONS = re.compile(r" {2,}"), re.compile(r"\s*;\s*")
MOST_CELLS = 12
OF_VERSION, MOST_VERSIONS = "=", 2
NUMBERS = ("BARE", "COUNT")
NOTHING = {"DASH", "COMMA"}
ORDER = ("type", "rounds", "span", "reps", "thing", "load", "versions", "cap", "note")
AMOUNTS = ("CALS", "LENG")
UNITS_BESIDE = {"CAL": "CALS", **dict.fromkeys(("M", "KM"), "LENG")}
Words = Callable[[int, int], list[Tok]]
MEASURED = {"CAL", "M"}


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell: where its words stand in the text."""

    start: int
    end: int


def cells_of(text: str, start: int, end: int) -> list[Cell]:
    """The cells of a line, empty ones too; none where it is no row of a table."""
    line = text[start:end]
    sign = next((one for one in "\t|" if one in line), "")
    if not sign:
        return _apart(line, start)
    found, at = [], start
    for part in line.split(sign):
        left = len(part) - len(part.lstrip())
        found.append(Cell(at + left, at + len(part.rstrip()) if part.strip() else at + left))
        at += len(part) + 1
    return found[:MOST_CELLS]


def _apart(line: str, start: int) -> list[Cell]:
    """The cells of a line that has them apart by blanks, or by semicolons; none where there are fewer than three."""
    parts = SEMICOLONS if line.count(";") >= LEAST_APART - 1 else BLANKS
    indent = len(line) - len(line.lstrip())
    found, at = [], indent
    for gap in [*parts.finditer(line.rstrip(), indent), None]:
        last = gap.start() if gap else len(line.rstrip())
        found.append(Cell(start + at, start + last))
        at = gap.end() if gap else last
    return found if LEAST_APART <= len(found) <= MOST_CELLS else []


def headings(text: str, cells: list[Cell], columns: Mapping[str, str], named: Callable[[str], str]) -> list[str]:
    """What the columns are, those of a version by `=` and its name; nothing where a cell is no heading that is known, or too few
    are."""
    said = [text[cell.start : cell.end].casefold().strip(" :.*#") or ("#" if cell.end > cell.start else "") for cell in cells]
    found = [columns.get(one) or (f"{OF_VERSION}{one}" if one and named(one) else "") for one in said]
    found = [f"{OF_VERSION}{one}" if one in ("men", "women") else one for one in found]
    if sum(one.startswith(OF_VERSION) for one in found) > MOST_VERSIONS:
        return []
    known = [one for one in found if one]
    filled = sum(1 for one in said if one)
    lone = "#" in said and "reps" not in found  # it may stand before a number of repetitions
    return found if len(known) >= LEAST_HEADINGS and len(known) == filled and not lone else []


def row(cells: list[Cell], columns: list[str], words: Words) -> list[Tok] | None:
    """A row in the grammar's order of words; None where it does not fit its headings."""
    made: dict[str, list[Tok]] = {}
    spans: list[Tok] = []
    varied: list[tuple[str, Tok]] = []
    scored: list[Tok] = []
    for cell, column in zip(cells, columns, strict=False):
        toks = words(cell.start, cell.end) if cell.end > cell.start else []
        toks = [] if {tok.kind for tok in toks} <= NOTHING else toks
        if not toks and column in ("rounds", "cap"):
            return None
        if not toks or column == "number":
            continue
        if column == "score":
            scored = toks
            continue
        if column in ("start", "end"):
            spans += toks
        elif column.startswith(OF_VERSION):
            if "reps" not in columns and (amount := _with_a_load(toks)):
                if made.setdefault("reps", amount[:1])[0].values != amount[0].values:
                    return None  # another number of them: a list of its own
                toks = amount[1:]
                if not toks:
                    continue
            if len(toks) != 1:
                return None
            varied.append((column.removeprefix(OF_VERSION), toks[0]))
        elif (told := _meant(column, toks)) is not None:
            made["load" if column in ("kg", "lb") else column] = told
        else:
            return None
    if len(cells) > len(columns) or (spans and not _span(spans)) or (varied and not _versions(varied)):
        return None
    _unit_beside(made)
    if not _scores(scored, made.get("thing", [])):
        return None
    told = _versions(varied)
    if told and told[0].kind in AMOUNTS:
        if "reps" in made:
            return None
        made["reps"], told = [told[0]], told[1:]
    made |= {"span": _span(spans), "versions": told}
    return _counted([tok for column in ORDER for tok in made.get(column, [])]) or None


def apart(cells: list[Cell], words: Words) -> list[Tok]:
    """A row that does not fit its headings: its cells as clauses of a sentence, no number with a unit in another cell."""
    found: list[Tok] = []
    for cell in cells:
        toks = words(cell.start, cell.end) if cell.end > cell.start else []
        found += [*([found[-1].to(found[-1], "COMMA", values=(), key="")] if found and toks else []), *toks]
    return found


def _unit_beside(made: dict[str, list[Tok]]) -> None:
    """`50` under the repetitions and `cal bike` beside it: the unit stands with the thing."""
    reps, thing = made.get("reps", []), made.get("thing", [])
    unit = UNITS_BESIDE.get(thing[0].kind) if len(thing) > 1 and [tok.kind in NUMBERS for tok in reps] == [True] else None
    if unit:
        made["reps"], made["thing"] = [reps[0].to(thing[0], unit, unit=thing[0].kind)], thing[1:]


def _meant(column: str, toks: list[Tok]) -> list[Tok] | None:
    """What a cell says under its heading; None where it does not fit."""
    first = toks[0]
    if column == "reps" and len(toks) == 1 and first.kind in (*NUMBERS, "REPS", "LENG", "CALS", "DUR", "MAX", "SIZE"):
        return toks
    if column == "rounds" and len(toks) == 1 and first.kind in (*NUMBERS, "ROUNDS"):
        return [replace(first, kind="ROUNDS")]
    if column == "cap" and len(toks) == 1 and first.kind in ("DUR", "PRIMED", "BARE"):
        return [replace(first, kind="CAP", values=()), first]
    if column in ("kg", "lb") and len(toks) == 1 and first.kind in ("BARE", "PAIRNUM"):
        return [replace(first, kind="LOAD", unit=column.upper())]
    if column in ("load", "kg", "lb"):
        return toks if {tok.kind for tok in toks} <= {"LOAD", "PAIRNUM", "SIZE", "VERSIONS", "COMMA"} else None
    return toks if column in ("type", "thing", "note") else None


def _scores(scored: list[Tok], thing: list[Tok]) -> bool:
    """Whether a row's score is what is done in it: no word, or one unit, of calories where the most calories are done."""
    measured = {tok.kind for tok in thing} & MEASURED
    return not scored or (len(scored) == 1 and (not measured or scored[0].kind not in MEASURED or scored[0].kind in measured))


def _with_a_load(toks: list[Tok]) -> list[Tok]:
    """`20 @ 50 kg`, `22 x 42.5 kg`, `20, 60 cm`: how many, and with what; nothing for another cell."""
    kinds = [tok.kind for tok in toks if tok.kind not in ("AT", "COMMA", "X")]
    plain = [tok for tok in toks if tok.kind not in ("AT", "COMMA", "X")]
    if kinds == ["BARE"]:
        return plain
    if len(kinds) != 2 or kinds[0] not in (*NUMBERS, "REPS", "TIMES") or kinds[1] not in ("LOAD", "SIZE"):
        return []
    return [replace(plain[0], kind="BARE"), plain[1]]


def _span(toks: list[Tok]) -> list[Tok]:
    fits = [tok.kind for tok in toks] == ["DUR", "DUR"] or [tok.text for tok in toks[:1]] == ["0:00"]
    if not fits or len(toks) != 2 or any(len(tok.values) != 1 for tok in toks):
        return []
    return [toks[0].to(toks[1], "SPAN", values=(*toks[0].values, *toks[1].values))]


def _versions(varied: list[tuple[str, Tok]]) -> list[Tok]:
    """The cells of two versions as one amount with two numbers."""
    toks = [tok for _, tok in varied]
    alike = len({(tok.kind, tok.unit) for tok in toks}) == 1 and toks[0].kind in ("LOAD", "SIZE", *AMOUNTS)
    if len(toks) != 2 or not alike or any(len(tok.values) != 1 for tok in toks):
        return []
    both = toks[0].to(toks[1], toks[0].kind, values=tuple(tok.values[0] for tok in toks))
    return [both, toks[0].to(toks[1], "VERSIONS", values=tuple(name for name, _ in varied))]


def _counted(toks: list[Tok]) -> list[Tok]:
    """A bare number before a thing counts it."""
    follows = [*(tok.kind for tok in toks[1:]), ""][: len(toks)]
    return [
        replace(tok, kind="COUNT") if tok.kind in NUMBERS and after in ("MOVE", "UNKNOWN") else tok
        for tok, after in zip(toks, follows, strict=True)
    ]
