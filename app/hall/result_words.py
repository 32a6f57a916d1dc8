"""Results in words, said one way on the board, in the results file and in a recount. Rules only."""

from collections.abc import Sequence
from fractions import Fraction

from app.rules.count.sheets import variant_key
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Entry, Event
from app.rules.result.overall_explain import total_unit
from app.rules.result.overall_results import OverallCell, OverallLine, OverallTable
from app.rules.result.results import Row, Table
from app.rules.result.scoring import PartScore, unit_word
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.formats import Variant


def place_text(row: Row) -> str:
    """A place as people read it: `1`, `=2` when it is shared, or nothing outside the ranking."""
    return shared_place(row.place, row.shared)


def shared_place(place: int | None, shared: bool) -> str:
    """The same for a place of any standing."""
    return "" if place is None else f"={place}" if shared else str(place)


def spoken_place(place: int | None, shared: bool) -> str:
    """A place for those who hear it."""
    return say("no place") if place is None else say("{place}, shared", place=place) if shared else str(place)


def results_path(event: str, score: str, entry: str) -> str:
    """Where a score is explained."""
    return f"/results/{event}/{score}/{entry}"


def overall_path(division: str, entry: str) -> str:
    """Where an overall place is explained."""
    return f"/overall/{division}/{entry}"


def pictures_path(event: str, heat: str) -> str:
    """Where a heat's counts are to be seen."""
    return f"/pictures/{event}/{heat}"


def overall_unit(table: OverallTable, total: Fraction | None = None) -> str:
    """What a total is counted in, or several are, where that needs saying."""
    return "" if table.rule.by == "places" else unit_word(total_unit(table), total)


def overall_score(table: OverallTable, total: Fraction) -> str:
    """A total with what it is counted in, where that needs saying."""
    return f"{decimal(decimal_text(total, 3))} {overall_unit(table, total)}".strip()


def overall_cell_text(rule: OverallRule, cell: OverallCell) -> str:
    """What one score brings overall: `95 (=2)`; where places are added, the place says it already. `5 (not yet)` of who counts
    as absent only until they are judged."""
    if cell.lacking:
        return cell.lacking.text
    points, none = decimal(decimal_text(cell.points, 3)), say("not yet") if cell.waits else "–"
    place = shared_place(cell.place, cell.shared) or none
    told = place if rule.by == "places" and cell.points == cell.place else f"{points} ({place})"
    return say("{told}, left out", told=told) if cell.left_out else told


def overall_tie_text(table: OverallTable, row: OverallLine) -> str:
    """What parted an entry from others of its total: `by count-back`, `by place in Rising bar`; nothing where nothing had to."""
    if row.by_tie is None:
        return ""
    named = next((column.title for column in table.columns if column.event == table.rule.named), "")
    return say("by place in {event}", event=named) if row.by_tie == "named event" else say("by count-back")


def so_far_text(table: OverallTable, row: OverallLine) -> str:
    """What a total lacks that is still to come: `so far: Swings not judged yet`; nothing where nothing is."""
    waits = [column.title for column, cell in zip(table.columns, row.cells, strict=True) if cell.waits]
    return say("so far: {named} not judged yet", named=", ".join(waits)) if waits and row.place is not None else ""


def brought_text(table: OverallTable, row: OverallLine) -> str:
    """What each score brings to a total, and what it still lacks."""
    brought = [overall_cell_text(table.rule, cell) for cell in row.cells]
    return ", ".join(one for one in (*brought, so_far_text(table, row)) if one)


def overall_note(table: OverallTable, row: OverallLine) -> str:
    """What there is to know beside a total."""
    return ", ".join(one for one in (overall_tie_text(table, row), so_far_text(table, row)) if one)


def usual_variant(event: Event, table: Table) -> Variant | None:
    """The variant that those in a standing do, unless one chose another: its own, else its division's."""
    return table.variant or event.format.variant(variant_key(event, table.division))


def variant_text(event: Event, table: Table, row: Row) -> str:
    """The variant that a line did, where that is not the usual one."""
    if row.variant == usual_variant(event, table):
        return ""
    return say("as written") if row.variant is None else row.variant.name


def table_title(event: Event, table: Table) -> str:
    """What a standing is of, beside its division: `Swings`, `Heavy: Deadlift`, `Swings, Light bell`."""
    title = f"{event.name}: {known(table.rule.name)}" if len(event.format.scores) > 1 else event.name
    variant = usual_variant(event, table)
    return f"{title}, {variant.name}" if variant else title


def table_key(event: Event, table: Table) -> str:
    """Names a standing among all of a competition."""
    return "-".join([event.id, table.rule.id, table.division] + ([table.variant.id] if table.variant else []))


def note_text(event: Event, table: Table, row: Row) -> str:
    """What there is to know of a line beside its score: its status, the variant it did, what is still to be decided, a ruling."""
    recount = say("to be counted again") if row.recounts else ""
    ruled = say("after a ruling") if any(ruling.kind != "status" for ruling in row.rulings) else ""
    twice = say("judged_twice.note") if row.twice else ""
    return ", ".join(text for text in (known(row.status), variant_text(event, table, row), recount, twice, ruled) if text)


def other_names(entry: Entry, members: Sequence[str]) -> tuple[str, ...]:
    """The members by name; a single athlete who is the entry is not said twice."""
    return () if tuple(members) == (entry.name,) else tuple(members)


def part_text(part: PartScore) -> str:
    """What a part of a score holds, in the unit of its terms where they have one."""
    taken = [part.terms[i] for i in part.taken]
    units = {term.raw_unit for term in taken}
    if len(units) > 1:
        return decimal(f"{decimal_text(part.value, 2)} {unit_word(part.unit, part.value)}")
    raw_unit = units.pop() if units else "reps"
    raw = sum((term.raw for term in taken), Fraction(0))
    if raw_unit == "s":
        return decimal(exact_text(raw))
    return decimal(decimal_text(raw, 2) if raw_unit == "reps" else f"{decimal_text(raw, 2)} {unit_word(raw_unit, raw)}")
