"""Team points: from the overall standing to a standing of clubs, or of named teams of individual entries."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.records.overall_rule import UNPLACED
from app.rules.records.roster import Entry, Roster
from app.rules.records.team_rule import TeamRule
from app.rules.result.overall_results import ALL, OverallLine, OverallTable
from app.rules.result.standings import Candidate, Standing, rank
from app.rules.values.alphabet import by_name
from app.rules.values.texts import same_name
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say

MOST_POINTS_TOLD = 12  # of a table of points; the whole of it stands on the desk's page


@dataclass(frozen=True, slots=True)
class TeamCell:
    """What one entry brings its team: its overall place, in which division, the points, and whether they count."""

    entry: Entry
    division_name: str
    place: int
    points: Fraction
    counts: bool


@dataclass(frozen=True, slots=True)
class TeamLine:
    """A team with all its placed entries, those that count first. by_tie: whether places parted it from an equal sum."""

    place: int
    shared: bool
    team: str
    total: Fraction
    cells: tuple[TeamCell, ...]
    by_tie: bool


@dataclass(frozen=True, slots=True)
class TeamTable:
    """The standing of the teams in one division, or over all. `without`: placed entries of no team, or of several clubs."""

    division: str
    division_name: str
    rows: tuple[TeamLine, ...]
    without: tuple[str, ...]


def team_tables(roster: Roster, overall: Sequence[OverallTable]) -> tuple[TeamTable, ...]:
    """The standings of the teams; none without a rule for them, or before somebody has an overall place."""
    rule = roster.overall.teams if roster.overall else None
    if rule is None:
        return ()
    teams = _teams(roster, rule)
    groups = [(ALL, say("All divisions"), list(overall))]
    if rule.over == "division":
        groups = [(table.division, table.division_name, [table]) for table in overall]
    made = (_table(rule, teams, *group) for group in groups)
    return tuple(table for table in made if table.rows or table.without)


def _teams(roster: Roster, rule: TeamRule) -> dict[str, str]:
    """The team of each entry that is of one, by its id."""
    if rule.of == "named":
        spelt: dict[str, str] = {}  # as it was first, however others spell it
        return {one.id: spelt.setdefault(same_name(one.team), one.team) for one in roster.entries if one.team}
    clubs = {club.id: club.name for club in roster.clubs}
    of = {one.id: one.club for one in roster.athletes}
    found = {}
    for entry in roster.entries:
        own = {of[member] for member in entry.members}
        if len(own) == 1 and (club := own.pop()) is not None:
            found[entry.id] = clubs[club]
    return found


def _table(rule: TeamRule, teams: Mapping[str, str], division: str, name: str, tables: Sequence[OverallTable]) -> TeamTable:
    brought: dict[str, list[TeamCell]] = {}
    without = []
    for table in tables:
        for row in table.rows:
            if row.place is not None and row.entry.id in teams:
                brought.setdefault(teams[row.entry.id], []).append(_cell(rule, table, row, row.place))
            elif row.place is not None:
                without.append(row.entry.name)
    return TeamTable(division, name, tuple(_ranked(rule, brought)), tuple(without))


def _cell(rule: TeamRule, table: OverallTable, row: OverallLine, place: int) -> TeamCell:
    points = rule.points_for(place) if rule.by == "table" else row.total
    return TeamCell(row.entry, table.division_name, place, points, False)


def _ranked(rule: TeamRule, brought: Mapping[str, Sequence[TeamCell]]) -> Iterator[TeamLine]:
    counted = {team: _counted(rule, cells) for team, cells in brought.items()}
    totals = {team: sum((one.points for one in cells if one.counts), Fraction(0)) for team, cells in counted.items()}
    places: dict[Hashable, tuple[int, ...]] = {
        team: tuple(sorted(one.place for one in cells if one.counts)) for team, cells in counted.items()
    }
    longest = max(map(len, places.values()), default=0)
    candidates = [
        Candidate(team, Standing.RANKED, (-totals[team],), ((*places[team], *[UNPLACED] * (longest - len(places[team]))),))
        for team in sorted(brought, key=by_name)
    ]
    for one in rank(candidates):
        team = str(one.who)
        yield TeamLine(one.place or 0, one.shared, team, totals[team], counted[team], one.by_tie is not None)


def _counted(rule: TeamRule, cells: Sequence[TeamCell]) -> tuple[TeamCell, ...]:
    """A team's entries from the best to the worst, the first so many counting."""
    order = sorted(cells, key=lambda one: (-one.points, one.place, by_name(one.entry.name), one.entry.id))
    return tuple(TeamCell(one.entry, one.division_name, one.place, one.points, n < rule.best) for n, one in enumerate(order))


def team_lines(rule: TeamRule) -> tuple[str, ...]:
    """The rule in sentences."""
    of = say("An entry counts for its members' club") if rule.of == "club" else say("An entry counts for the team that it names")
    over = say("over all divisions together") if rule.over == "all" else say("in each division by itself")
    return (
        f"{of}; {say('teams.best', n=rule.best)}, {over}.",
        _worth(rule),
        say(
            "Ties are broken by more first places among those that count, then more second places, and so on; otherwise the "
            "place is shared."
        ),
    )


def _worth(rule: TeamRule) -> str:
    if rule.by == "total":
        return say("Each brings its overall total.")
    told = ", ".join(decimal(decimal_text(points)) for points in rule.points[:MOST_POINTS_TOLD])
    more = say(" and so on to place {n}", n=len(rule.points)) if len(rule.points) > MOST_POINTS_TOLD else ""
    then = decimal(decimal_text(rule.beyond))
    return say("The overall place brings {told}{more}, then {then}.", told=told, more=more, then=then)


def cell_text(rule: TeamRule, table: TeamTable, cell: TeamCell) -> str:
    """What an entry brings, in words: `Ada Quill 12 (1, Open)`, in brackets where it does not count."""
    where = f", {cell.division_name}" if rule.over == "all" and cell.division_name != table.division_name else ""
    told = f"{cell.entry.name} {decimal(decimal_text(cell.points, 3))} ({cell.place}{where})"
    return told if cell.counts else f"[{told}]"
