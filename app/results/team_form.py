"""Team points on the page of the overall standing: choosing their rule, and how the teams stand under it now."""

from dataclasses import dataclass
from fractions import Fraction

from app.hall.forms import Reading, Typed
from app.hall.lists import Choice
from app.hall.result_words import shared_place
from app.results.point_table import read_points
from app.rules.records.team_rule import MOST_BEST, MOST_POINTS, TeamRule
from app.rules.result.teams import TeamTable, cell_text
from app.rules.values.units import decimal_text

NO_TEAMS = "none"
OF = {NO_TEAMS: "no team points", "club": "clubs", "named": "the teams that entries name"}
BY = {"table": "points for the overall place, from a table", "total": "the overall totals"}
OVER = {"all": "over all divisions together", "division": "in each division by itself"}


@dataclass(frozen=True, slots=True)
class TeamChoices:
    """What can be chosen of team points."""

    of: tuple[Choice, ...]
    by: tuple[Choice, ...]
    over: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class TeamRow:
    """A team in a standing; `cells` says what each of its entries brings."""

    place: str
    team: str
    cells: str
    total: str


@dataclass(frozen=True, slots=True)
class TeamStanding:
    """The standing of the teams in a division, or over all; `without` names placed entries that are of none."""

    division: str
    rows: tuple[TeamRow, ...]
    without: str


def team_choices() -> TeamChoices:
    """The choices of the form."""
    return TeamChoices(*(tuple(Choice(value, text) for value, text in words.items()) for words in (OF, BY, OVER)))


def team_typed(rule: TeamRule | None) -> Typed:
    """The form as stored."""
    filled = rule or TeamRule.model_construct()
    return {
        "team-of": rule.of if rule else NO_TEAMS,
        "team-by": filled.by,
        "team-points": ", ".join(decimal_text(points, 3) for points in filled.points),
        "team-beyond": decimal_text(filled.beyond, 3),
        "team-best": str(filled.best),
        "team-over": filled.over,
    }


def read_teams(read: Reading, before: TeamRule | None) -> TeamRule | None:
    """The rule that a form says; a form that does not speak of teams leaves it."""
    if "team-of" not in read.typed:
        return before
    of = read.choice("team-of", "Whose points are added up", OF)
    if of == NO_TEAMS or read.problems_at("team-of"):
        return None
    by = read.choice("team-by", "What an entry brings its team", BY)
    points = read_points(read, "team-points", MOST_POINTS) if by == "table" else ()
    beyond = read.number("team-beyond", "What later places bring a team", Fraction(0)) if by == "table" else Fraction(0)
    best = read.needed_whole("team-best", "How many entries of a team count", 1, MOST_BEST)
    over = read.choice("team-over", "Where teams are ranked", OVER)
    if read.problems:
        return before
    return TeamRule.model_validate({"of": of, "by": by, "points": points, "beyond": beyond, "best": best, "over": over})


def team_standing(rule: TeamRule, table: TeamTable) -> TeamStanding:
    """The standing as texts."""
    rows = tuple(
        TeamRow(
            shared_place(row.place, row.shared),
            row.team,
            ", ".join(cell_text(rule, table, cell) for cell in row.cells),
            decimal_text(row.total, 3),
        )
        for row in table.rows
    )
    return TeamStanding(table.division_name, rows, ", ".join(table.without))
