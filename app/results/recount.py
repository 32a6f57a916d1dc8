"""Recounting a competition file: anybody can check a published result with nothing but the file. No server, no store."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from app.hall.result_words import note_text, part_text, place_text, shared_place, usual_variant
from app.results.competition_file import BadFile, read_file
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Roster
from app.rules.result.overall_explain import total_text
from app.rules.result.overall_results import OverallLine, OverallTable, overall_tables
from app.rules.result.public_file import proof_faults
from app.rules.result.results import EventResults, Row, Table, results
from app.rules.result.scoring import score_words, unit_word
from app.rules.result.sealing import NO_SEAL, digest_text, names_digest, seal_faults
from app.rules.result.sealing import sealed as seal_anew
from app.rules.result.signed_words import SignedProof, Stated, proofs_in, stated_overall_of
from app.rules.result.teams import TeamTable, team_tables
from app.rules.values.units import decimal_text
from app.rules.values.words import say

HEADINGS = ("Place", "Entry", "Members", "Score", "Parts", "Note")
NOT_PRINTED = "The digest you typed matches nothing in this file: the printout came from another file."
NOTHING = "No entry is in a heat, so there is nothing to rank.\n"


@dataclass(frozen=True, slots=True)
class Sealed:
    """Whether a file's seal holds: its digests as printed (of the whole, and by the name of each event), and what differs.

    `proves`: how many values that a public file withholds this one proves; None where it was not asked.
    """

    whole: str
    events: tuple[tuple[str, str], ...]
    faults: tuple[str, ...]
    matches: str = ""
    proves: int | None = None

    @property
    def broken(self) -> bool:
        """Whether something differs; of a file without a seal that can't be told."""
        return any(fault != NO_SEAL for fault in self.faults)


@dataclass(frozen=True, slots=True)
class Recount:
    """All standings of a competition: of each event, and overall if there is a rule for it. Of a file only: `sealed`, what the
    sign-off of each event proves, and how final the overall standing is."""

    events: tuple[EventResults, ...]
    overall: tuple[OverallTable, ...]
    teams: tuple[TeamTable, ...] = ()
    sealed: Sealed | None = None
    signed: tuple[SignedProof, ...] = ()
    final: Stated | None = None

    @property
    def holds(self) -> bool:
        """Whether nothing is amiss: the seal holds, a printed digest is of the file, and what was signed is there. Without a seal
        nothing is amiss either."""
        return not (self.sealed and self.sealed.broken) and not any(one.faults for one in self.signed)


def recount(data: bytes, printed: str = "", public: bytes | None = None) -> Recount:
    """The standings that the marks in a competition file give, and whether its seal holds.

    `printed`: a digest from a results sheet, to be found in the file. `public`: a public file, to be proven by this one.
    Raises BadFile, also for a digest that is none.
    """
    file = read_file(data)
    checked = check_seal(file, printed)
    if public is not None:
        checked = _proving(checked, file, read_file(public))
    signed = proofs_in(file)
    final = stated_overall_of(file, file.rulings, any(one.faults for one in signed))
    return replace(recount_of(file, results(file)), sealed=checked, signed=signed, final=final)


def _proving(checked: Sealed, whole: CompetitionFile, public: CompetitionFile) -> Sealed:
    faults = proof_faults(whole, public)
    return replace(checked, faults=(*checked.faults, *faults), proves=None if faults else len(public.withheld or {}))


def check_seal(file: CompetitionFile, printed: str = "") -> Sealed:
    """Whether a file's seal holds, and whether a printed digest is of it. Raises BadFile for a digest that is none."""
    faults, matches = seal_faults(file), ""
    if printed:
        try:  # of a file without a seal the digest is taken anew: what was printed can be of nothing else
            named = names_digest(file if file.seal else seal_anew(file), printed)
        except ValueError as wrong:
            raise BadFile(str(wrong)) from None
        names = {event.id: event.name for event in file.events}
        if named is None:
            faults = [NOT_PRINTED, *faults]
        else:
            matches = names.get(named, named) if named else "the whole competition"
    if file.seal is None:
        return Sealed("", (), tuple(faults), matches)
    events = tuple((event.name, digest_text(file.seal.events.get(event.id, ""), file.seal.version)) for event in file.events)
    return Sealed(digest_text(file.seal.digest, file.seal.version), events, tuple(faults), matches)


def recount_of(roster: Roster, found: Sequence[EventResults]) -> Recount:
    """All standings from those of the events."""
    overall = overall_tables(roster, found)
    return Recount(tuple(found), overall, team_tables(roster, overall))


def score_with_unit(table: Table, row: Row) -> str:
    """The score with its unit, or nothing while there is none."""
    if row.score is None:
        return ""
    return score_words(row.score)


def recount_table(found: Recount) -> str:
    """The standings as a plain text table, one for each division and score, then those overall."""
    blocks = [_block(event, table) for event in found.events for table in event.tables if table.rows]
    blocks += [_overall_block(table) for table in found.overall if table.columns]
    blocks += [_team_block(table) for table in found.teams]
    told = "\n\n".join(blocks) + "\n" if blocks else NOTHING
    return told if found.sealed is None else f"{told}\n{_signed_block(found)}\n{_seal_block(found.sealed)}"


def recount_json(found: Recount) -> str:
    """The standings as JSON text."""
    return json.dumps(recount_plain(found), ensure_ascii=False, indent=2) + "\n"


def recount_plain(found: Recount) -> dict[str, Any]:
    """The standings as plain values: places as numbers, scores as shown and as exact fractions."""
    told: dict[str, Any] = {
        "events": [_event_plain(event) for event in found.events],
        "overall": [_overall_plain(table) for table in found.overall],
        "teams": [_team_plain(table) for table in found.teams],
    }
    if found.sealed is None:
        return told
    signed = {"events": [_signed_plain(one) for one in found.signed], "overall": found.final and asdict(found.final)}
    return told | {"signed": signed, "seal": asdict(found.sealed) | {"holds": not found.sealed.faults}}


def _signed_plain(one: SignedProof) -> dict[str, Any]:
    return asdict(one) | {"proven": bool(one.marks) and not one.lines}


def said_plain(events: Mapping[str, Stated], overall: Stated) -> dict[str, Any]:
    """How final standings are, as plain values: each event's by its id, and the overall standing's."""
    return {"final": {"events": {key: asdict(said) for key, said in events.items()}, "overall": asdict(overall)}}


def _event_plain(event: EventResults) -> dict[str, Any]:
    tables = [
        {
            "score": table.rule.id,
            "unit": table.unit,
            "division": table.division,
            "division_name": table.division_name,
            "variant": None if table.variant is None else table.variant.id,
            "rows": [_row_plain(row) for row in table.rows],
        }
        for table in event.tables
    ]
    return {"event": event.event.id, "name": event.event.name, "standings": tables}


def _row_plain(row: Row) -> dict[str, Any]:
    made = row.score
    return {
        "place": row.place,
        "shared": row.shared,
        "entry": row.entry.id,
        "name": row.entry.name,
        "members": list(row.members),
        "score": None if made is None else made.text,
        "exact": None if made is None else str(made.value),
        "parts": [] if made is None else [{"name": part.name, "value": part_text(part)} for part in made.parts],
        "status": row.status,
        "variant": "" if row.variant is None else row.variant.name,
        "judged_twice": list(row.twice),
        "recount_windows": [index + 1 for index in row.recounts],
    }


def _overall_plain(table: OverallTable) -> dict[str, Any]:
    return {
        "division": table.division,
        "division_name": table.division_name,
        "columns": [{"event": column.event, "score": column.rule, "title": column.title} for column in table.columns],
        "rows": [_overall_row_plain(row) for row in table.rows],
    }


def _team_plain(table: TeamTable) -> dict[str, Any]:
    return {
        "division": table.division,
        "division_name": table.division_name,
        "rows": [
            {
                "place": row.place,
                "shared": row.shared,
                "team": row.team,
                "total": str(row.total),
                "entries": [
                    {"entry": one.entry.id, "place": one.place, "points": str(one.points), "counts": one.counts}
                    for one in row.cells
                ],
            }
            for row in table.rows
        ],
    }


def _overall_row_plain(row: OverallLine) -> dict[str, Any]:
    return {
        "place": row.place,
        "shared": row.shared,
        "entry": row.entry.id,
        "name": row.entry.name,
        "members": list(row.members),
        "total": str(row.total),
        "points": [str(cell.points) for cell in row.cells],
        "places": [cell.place for cell in row.cells],
        "by_tie": row.by_tie,
    }


def _signed_block(found: Recount) -> str:
    """Whether each event was signed off, and whether the marks that were signed are proven to be those of the file."""
    lines = [line for one in found.signed for line in (f"{one.event}: {one.said.text}", *_indented(_proof_lines(one)))]
    if found.overall and found.final is not None:
        lines += [f"Overall: {found.final.text}", *_indented(found.final.since)]
    return "\n".join(["Sign-off", "--------", *lines]) + "\n"


def _proof_lines(one: SignedProof) -> tuple[str, ...]:
    proven = say("recount.proven", n=one.marks)
    return (*one.said.notes, *(one.lines or ([proven] if one.marks else [])))


def _indented(lines: Iterable[str]) -> list[str]:
    return [f"- {line}" for line in lines]


def _seal_block(sealed: Sealed) -> str:
    lines = [f"The printed digest matches {sealed.matches}."] if sealed.matches else []
    if sealed.proves is not None:
        lines.append(f"The public file was made from this one: each value it withholds is proven ({sealed.proves}).")
    if sealed.faults:
        lines += [
            "SOMETHING DOES NOT HOLD." if sealed.broken else "No seal.",
            *(f"- {fault}" for fault in sealed.faults),
        ]
    else:
        lines.append("The seal holds: nothing was changed since this file was written.")
    if sealed.whole:
        lines += [f"Digest  {sealed.whole}", *(f"Digest  {digest}  {name}" for name, digest in sealed.events)]
    return "\n".join(lines) + "\n"


def _block(event: EventResults, table: Table) -> str:
    title = f"{event.event.name} · {table.division_name}"
    if len(event.event.format.scores) > 1:
        title += f" · {table.rule.name}"
    if (variant := usual_variant(event.event, table)) is not None:
        title += f" · {variant.name}"
    return aligned_block(title, [HEADINGS, *(_cells(event, table, row) for row in table.rows)])


def _overall_block(table: OverallTable) -> str:
    lines = [("Place", "Entry", "Members", "Score", *(column.title for column in table.columns), "Note")]
    return aligned_block(f"Overall · {table.division_name}", lines + [_overall_cells(table, row) for row in table.rows])


def _team_block(table: TeamTable) -> str:
    lines = [("Place", "Team", "Score", "Counting")]
    for row in table.rows:
        counting = ", ".join(f"{one.entry.name} {decimal_text(one.points, 3)}" for one in row.cells if one.counts)
        lines.append(
            (
                shared_place(row.place, row.shared),
                row.team,
                f"{decimal_text(row.total, 3)} {unit_word('points', row.total)}",
                counting,
            )
        )
    return aligned_block(f"Teams · {table.division_name}", lines)


def _overall_cells(table: OverallTable, row: OverallLine) -> tuple[str, ...]:
    brought = [f"{decimal_text(cell.points, 3)} ({shared_place(cell.place, cell.shared) or '–'})" for cell in row.cells]
    total, note = total_text(table, row.total) if row.place is not None else "", f"by {row.by_tie}" if row.by_tie else ""
    return (shared_place(row.place, row.shared), row.entry.name, ", ".join(row.members), total, *brought, note)


def aligned_block(title: str, lines: Sequence[Sequence[str]]) -> str:
    """A titled table; columns that nothing stands in are left out, numbers stand to the right."""
    used = [i for i in range(len(lines[0])) if any(line[i] for line in lines[1:])]
    right = {i for i, heading in enumerate(lines[0]) if heading in ("Place", "Score")}
    widths = {i: max(len(line[i]) for line in lines) for i in used}
    return "\n".join([title, "-" * len(title), *(_aligned(line, used, widths, right) for line in lines)])


def _cells(event: EventResults, table: Table, row: Row) -> tuple[str, ...]:
    parts = "" if row.score is None else ", ".join(f"{part.name} {part_text(part)}" for part in row.score.parts)
    score = score_with_unit(table, row)
    return (place_text(row), row.entry.name, ", ".join(row.members), score, parts, note_text(event.event, table, row))


def _aligned(line: Sequence[str], used: Iterable[int], widths: dict[int, int], right: set[int]) -> str:
    cells = [line[i].rjust(widths[i]) if i in right else line[i].ljust(widths[i]) for i in used]
    return "  ".join(cells).rstrip()
