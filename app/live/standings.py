"""The standing of each event, kept until one of its lanes counts otherwise: a look costs what has changed since the last."""

from collections.abc import Callable, Mapping, Sequence
from operator import is_not

from app.live.places import Place
from app.rules.count.tally import Tally
from app.rules.records.document import Run
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.result.overall_results import Overalls, OverallTable
from app.rules.result.results import EventResults, Ran, Ranking, Ruled, Scored, ran_in, ruled_in
from app.rules.workout.formats import ScoreRule


class Standings:
    """All standings. `counted`: what counts for a lane assignment, None where nothing is marked; `scored`: a tally's score."""

    def __init__(self, counted: Callable[[str], Tally | None], scored: Scored) -> None:
        self._counted, self._scored = counted, scored
        self._roster: Roster | None = None
        self._places: Mapping[str, Place] = {}
        self._rulings: Sequence[Ruling] = ()
        self._runs: Sequence[Run] = ()
        self._stale: dict[str, dict[str, None]] = {}  # by event the lane assignments to be looked at, in order
        self._tallies: dict[str, dict[str, Tally]] = {}
        self._decided: dict[str, tuple[Ruled, Ran]] = {}
        self._rankings: dict[str, Ranking] = {}
        self._results: dict[str, EventResults] = {}
        self._overalls: Overalls | None = None
        self._overall: tuple[Sequence[EventResults], tuple[OverallTable, ...]] | None = None

    def begin(self, roster: Roster | None, places: Mapping[str, Place], rulings: Sequence[Ruling], runs: Sequence[Run]) -> None:
        """Takes the newest roster, rulings and runs. Forgets all if the roster is another, else the events that are ruled on
        otherwise, or run otherwise as far as that says more than whose marks count; what counts is told apart, by `touch`."""
        same, before, self._decided = roster is self._roster, self._decided, {}
        if roster is not None:
            self._decided = {one.id: (ruled_in(rulings, one.id), ran_in(roster, one, runs)) for one in roster.events}
        self._roster, self._places, self._rulings, self._runs = roster, places, rulings, runs
        for event in (event for event, decided in self._decided.items() if before.get(event) != decided):
            self._rankings.pop(event, None)
            self._results.pop(event, None)
        if not same:
            self._rankings, self._results, self._overalls, self._overall = {}, {}, None, None
            self._stale = {event: {} for event in self._decided}
            self._tallies = {event: {} for event in self._decided}
            for assignment in places:
                self.touch(assignment)

    def beside(self, counted: Callable[[str], Tally | None], scored: Scored) -> "Standings":
        """The same standings, which may go on otherwise from here."""
        other = Standings(counted, scored)
        other._roster, other._places, other._rulings, other._decided = self._roster, self._places, self._rulings, self._decided
        other._runs = self._runs
        other._stale = {event: dict(stale) for event, stale in self._stale.items()}
        other._tallies = {event: dict(tallies) for event, tallies in self._tallies.items()}
        other._results = dict(self._results)
        return other

    def touch(self, assignment: str) -> None:
        """Notes that a lane assignment may count otherwise than it did."""
        place = self._places.get(assignment)
        if place is not None:
            self._stale[place.event.id][assignment] = None
            self._results.pop(place.event.id, None)

    def to_count(self) -> list[str]:
        """The lane assignments whose tallies have to be looked at before all standings are known."""
        return [assignment for stale in self._stale.values() for assignment in stale]

    def of(self, event: str) -> EventResults:
        """The standing of one event as its lanes count. Raises KeyError for an event that is not there."""
        stale = self._stale[event]
        held = self._results.get(event)
        if held is None or stale:
            for assignment in stale:
                self._look(event, assignment)
            stale.clear()
            held = self._results[event] = self._ranking(event).results(self._tallies[event])
        return held

    def judged(self, event: str, rule: ScoreRule, tally: Tally, assignment: str) -> bool:
        """Whether what a lane assignment of an event holds says something of a score yet (rules/result/results.py)."""
        return self._ranking(event).judged(rule, tally, assignment)

    def overall(self) -> tuple[OverallTable, ...]:
        """The overall standing of each division, made anew when one of the events stands otherwise."""
        if self._roster is None or self._roster.overall is None:
            return ()
        found = [self.of(event.id) for event in self._roster.events]
        if self._overall is None or any(map(is_not, self._overall[0], found)):
            self._overalls = self._overalls or Overalls(self._roster)
            self._overall = found, self._overalls.tables(found)
        return self._overall[1]

    def _look(self, event: str, assignment: str) -> None:
        tally = self._counted(assignment)
        if tally is None:
            self._tallies[event].pop(assignment, None)
        else:
            self._tallies[event][assignment] = tally

    def _ranking(self, event: str) -> Ranking:
        if event not in self._rankings:
            if self._roster is None:
                raise KeyError(event)
            self._rankings[event] = Ranking(self._roster, event, self._rulings, self._runs, self._scored)
        return self._rankings[event]
