"""From a whole competition to its results: which sheets count, what each entry scored, who stands where."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from app.rules.count.sheets import assigned, counting_tallies, formats_by_assignment, lanes_of, reruns, twice
from app.rules.count.tally import Tally
from app.rules.records.document import CompetitionFile, Run, closed_lanes
from app.rules.records.in_force import in_force, signed_off
from app.rules.records.resting import TELLS_ONLY, parts
from app.rules.records.roster import Athlete, Entry, Event, Roster
from app.rules.records.rulings import Ruling
from app.rules.result.lift_ties import Gone, asks_who_was_first, goes
from app.rules.result.scoring import Score, score, score_text, without_total
from app.rules.result.standings import Candidate, Placed, Standing, rank
from app.rules.result.ties import tie_keys
from app.rules.result.totals import Total
from app.rules.values.units import Load, total_load
from app.rules.workout.formats import Format, ScoreRule, Variant
from app.rules.workout.score_units import score_unit

STATUS: Mapping[str, Standing] = {
    "did_not_finish": Standing.DID_NOT_FINISH,
    "did_not_start": Standing.DID_NOT_START,
    "withdrawn": Standing.WITHDRAWN,
    "disqualified": Standing.DISQUALIFIED,
}
STATUS_TEXT: Mapping[str, str] = {
    "did_not_finish": "did not finish",
    "did_not_start": "did not start",
    "withdrawn": "withdrawn",
    "disqualified": "disqualified",
}

NOT_JUDGED = "not judged yet"
TO_BE_RUN_AGAIN = "to be rerun"
# What changes a score or a place, and so is told beside a result.
TELLING = frozenset({"status", "penalty", "shift", "reps", "lift", "move", "stand", "run", "rerun"})


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a standing.

    score is None while there is nothing to rank; status says why in words, or is empty. variant is the variant the entry
    did, None as written. penalty is what rulings took or added, in the score's unit. recounts are windows whose counts must
    be taken again. twice are all lane assignments on which the entry was judged, in the order of the heats, while nobody has
    ruled which of them counts. rulings are those in force that changed what stands here, in the order made.
    """

    place: int | None
    shared: bool
    entry: Entry
    members: tuple[str, ...]
    assignment: str | None
    score: Score | None
    status: str
    by_tie: int | None
    variant: Variant | None = None
    penalty: Fraction = Fraction(0)
    recounts: tuple[int, ...] = ()
    twice: tuple[str, ...] = ()
    rulings: tuple[Ruling, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """The standing of one division in one score of an event, in a unit that is true of all its scores; `variant` is set where a
    variant is ranked apart."""

    rule: ScoreRule
    division: str
    division_name: str
    rows: tuple[Row, ...]
    variant: Variant | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class EventResults:
    """All standings of one event: a table for each score and division that stands in it, scores outside, divisions inside."""

    event: Event
    tables: tuple[Table, ...]


Line = tuple[Row, Candidate | None]
Scored = Callable[[str, Format, ScoreRule, Tally], Score]  # the score of an assignment's tally


def scored_anew(assignment: str, format: Format, rule: ScoreRule, tally: Tally) -> Score:
    """The score of a tally; whoever keeps scores may give another way to it."""
    return score(format, rule, tally)


def event_results(
    roster: Roster, event_id: str, tallies: Mapping[str, Tally], rulings: Sequence[Ruling] = (), runs: Sequence[Run] = ()
) -> EventResults:
    """The standings of one event from the tallies of its lane assignments (by assignment id; only sheets that count). `runs`: of
    all heats, for ties that ask who was first."""
    return Ranking(roster, event_id, rulings, runs).results(tallies)


def results(file: CompetitionFile) -> list[EventResults]:
    """The standings of every event of a competition file, each from its own part of the file and nothing else."""
    return [result_of(part) for part in parts(file).values()]


def result_of(part: CompetitionFile) -> EventResults:
    """The standings of one event from what they rest on: what its digest is taken over (records/resting.py)."""
    (event,) = part.events
    tallies = counting_tallies(part, part.runs, part.marks, part.rulings)
    return event_results(part, event.id, tallies, part.rulings, part.runs)


Ruled = tuple[tuple[Ruling, ...], frozenset[str] | None]
Ran = tuple[frozenset[str], tuple[Run, ...]]


def ruled_in(rulings: Sequence[Ruling], event_id: str) -> Ruled:
    """What a ranking takes from the rulings: those in force that its numbers may rest on, and, once the event is signed off, the
    keys of what that left out."""
    decided = tuple(ruling for ruling in in_force(rulings, event_id) if ruling.kind not in TELLS_ONLY)
    signed = signed_off(rulings, event_id)
    return decided, None if signed is None else frozenset(str(one["key"]) for one in signed.body.get("left_out", ()))


def waits_key(entry: str, status: str) -> str:
    """The key by which a sign-off leaves out that an entry was not judged, or was to be rerun."""
    return f"{'rerun' if status == TO_BE_RUN_AGAIN else 'entry'}:{entry}"


def waits_keys(entry: str) -> tuple[str, ...]:
    """Both of an entry."""
    return waits_key(entry, NOT_JUDGED), waits_key(entry, TO_BE_RUN_AGAIN)


def ran_in(roster: Roster, event: Event, runs: Sequence[Run]) -> Ran:
    """What a ranking takes from the runs, beside which sheets count by them: the lanes of the heats that are closed, and, where a
    tie asks who was first, every GO."""
    return closed_lanes(roster, event.id, runs), tuple(runs) if asks_who_was_first(event.format) else ()


class Ranking:
    """One event's entries with what is needed to rank them. What an entry's tallies came to is kept while they are the same, so
    that standings which are asked for again cost what has changed."""

    def __init__(
        self,
        roster: Roster,
        event_id: str,
        rulings: Sequence[Ruling] = (),
        runs: Sequence[Run] = (),
        scored: Scored = scored_anew,
    ) -> None:
        self.event = next(event for event in roster.events if event.id == event_id)
        self._divisions, self._scored = roster.divisions, scored
        self._rulings, self._left_out = ruled_in(rulings, event_id)
        self._over = self._left_out is not None
        self._lanes = lanes_of(roster, event_id)
        self._of = {lane: entry for entry, lanes in self._lanes.items() for lane in lanes}
        self._reruns = reruns(self._of, self._rulings)
        self._entries = {
            d.id: [e for e in roster.entries if e.division == d.id and e.id in self._lanes and self.event.admits(d.id)]
            for d in roster.divisions
        }
        self._athletes = {athlete.id: athlete for athlete in roster.athletes}
        self._formats: Mapping[str, Format] = formats_by_assignment(roster)
        self._chosen = {lane.id: lane.variant for heat in roster.heats for lane in heat.lanes}
        self._units = {rule.id: score_unit(self.event.format, rule) for rule in self.event.format.scores}
        self._takes = {rule.id: self._windows(rule) for rule in self.event.format.scores}
        self._closed = closed_lanes(roster, event_id, runs)
        self._goes: Mapping[str, Gone] = goes(roster, self.event, runs, rulings)
        self._lines: dict[tuple[str, str], tuple[list[Tally | None], Line]] = {}
        self._rows: dict[tuple[str, str], tuple[Row, Row]] = {}

    def results(self, tallies: Mapping[str, Tally]) -> EventResults:
        """The standings that follow from these tallies."""
        tables: list[Table] = []
        for rule in self.event.format.scores:
            for division in self._divisions:
                lines = [self._kept_line(rule, entry, tallies) for entry in self._entries[division.id]]
                for variant, group in self._groups(lines):
                    rows = self._placed(rule, group)
                    tables.append(Table(rule, division.id, division.name, rows, variant, self._units[rule.id]))
        return EventResults(self.event, tuple(tables))

    def _windows(self, rule: ScoreRule) -> frozenset[int]:
        """The windows that a score takes from; no variant changes them."""
        return frozenset(index for part in rule.parts for index in self.event.format.window_indexes(part))

    def judged(self, rule: ScoreRule, tally: Tally, assignment: str) -> bool:
        """Whether what a lane assignment holds says something of a score yet: in a window that the score takes from. Of what is
        over, a sheet with nothing there says 0, but for an entry that the sign-off left out. Who has only declared a load, or is
        on the floor before their first repetition, is not the last with 0. Common practice, no source."""
        entry = self._of[assignment]
        if not tally.any_marks or waits_key(entry, self._waiting(entry)) in (self._left_out or ()):
            return False
        if self._over or assignment in self._closed:
            return True
        return any(tally.says(index) for index in self._takes[rule.id])

    def _waiting(self, entry: str) -> str:
        """What is said of an entry of which nothing is known yet."""
        return TO_BE_RUN_AGAIN if entry in self._reruns else NOT_JUDGED

    def _groups(self, lines: Sequence[Line]) -> list[tuple[Variant | None, list[Line]]]:
        """Entries ranked together: all of a division, but for those whose variant is ranked apart."""
        together: list[Line] = []
        apart: dict[str, list[Line]] = {}
        for line in lines:
            variant = line[0].variant
            if variant is not None and variant.ranked == "apart":
                apart.setdefault(variant.id, []).append(line)
            else:
                together.append(line)
        groups: list[tuple[Variant | None, list[Line]]] = [(None, together)] if together else []
        return groups + [(variant, apart[variant.id]) for variant in self.event.format.variants if variant.id in apart]

    def _variant(self, entry: Entry, assignment: str) -> Variant | None:
        """The variant that an entry does: the one chosen on its lane, else its division's."""
        key = self._chosen[assignment] or self.event.variants.get(entry.division, "")
        return self.event.format.variant(key)

    def _placed(self, rule: ScoreRule, lines: Sequence[Line]) -> tuple[Row, ...]:
        """The standing of some entries in one score."""
        by_id = {row.entry.id: row for row, _ in lines}
        placed = rank([candidate for _, candidate in lines if candidate is not None])
        waiting = [Placed(row.entry.id, None, False, None) for row, candidate in lines if candidate is None]
        return tuple(self._row(rule, by_id[str(one.who)], one) for one in [*placed, *waiting])

    def _row(self, rule: ScoreRule, row: Row, at: Placed) -> Row:
        """A row at its place; the same as before where nothing in it has changed."""
        held = self._rows.get((rule.id, row.entry.id))
        if (
            held is not None
            and held[0] is row
            and (held[1].place, held[1].shared, held[1].by_tie) == (at.place, at.shared, at.by_tie)
        ):
            return held[1]
        made = replace(row, place=at.place, shared=at.shared, by_tie=at.by_tie)
        self._rows[rule.id, row.entry.id] = row, made
        return made

    def _kept_line(self, rule: ScoreRule, entry: Entry, tallies: Mapping[str, Tally]) -> Line:
        """An entry's line, made anew when one of its tallies is another."""
        of = [tallies.get(lane) for lane in self._lanes[entry.id]]
        held = self._lines.get((rule.id, entry.id))
        if held is None or any(one is not other for one, other in zip(held[0], of, strict=True)):
            held = self._lines[rule.id, entry.id] = of, self._line(rule, entry, tallies)
        return held[1]

    def _line(self, rule: ScoreRule, entry: Entry, tallies: Mapping[str, Tally]) -> Line:
        """An entry's row without its place, and its candidature; None while it has not been judged."""
        assignment = self._reruns.get(entry.id) or assigned(self._lanes[entry.id], tallies)
        tally = tallies.get(assignment)
        about = [ruling for ruling in self._rulings if concerns(ruling, self.event.id, entry.id, assignment)]
        said, penalty = status_of(about), _penalty(about, rule)
        people = [self._athletes[member] for member in entry.members]
        row = Row(
            place=None,
            shared=False,
            entry=entry,
            members=tuple(person.name for person in people),
            assignment=assignment,
            score=None,
            status=STATUS_TEXT.get(said or "", ""),
            by_tie=None,
            variant=self._variant(entry, assignment),
            penalty=penalty,
            rulings=tuple(ruling for ruling in about if _tells(ruling, rule)),
            twice=() if entry.id in self._reruns else twice(self._lanes[entry.id], tallies),
        )
        candidate = Candidate(entry.id, STATUS[said], ()) if said else None
        if tally is None or not self.judged(rule, tally, assignment):
            return (row, candidate) if said else (replace(row, status=self._waiting(entry.id)), None)
        scored = self._scored(assignment, self._formats[assignment], rule, tally)
        made = _with_penalty(rule, _in_unit(scored, self._units[rule.id]), penalty)
        made = without_total(made) if self._over or assignment in self._closed else made
        row = replace(row, score=made, recounts=tally.recounts)
        if candidate is not None:
            return row, candidate
        if made.total is Total.NONE:
            return replace(row, status=made.text), Candidate(entry.id, Standing.NO_TOTAL, ())
        after = row.variant is not None and row.variant.ranked == "after"
        ties = tie_keys(self._formats[assignment], rule, tally, made, _bodyweight(people), self._goes.get(assignment))
        return row, Candidate(entry.id, Standing.RANKED, _plain((int(after), *made.key)), tuple(map(_plain, ties)))


def _plain(key: Sequence[int | Fraction]) -> tuple[int | Fraction, ...]:
    """The same key in whole numbers where it can be: these are compared ten times as fast."""
    return tuple(one.numerator if one.denominator == 1 else one for one in key)


def _bodyweight(people: Sequence[Athlete]) -> Load | None:
    """What an entry's members weigh together; None if one was not weighed."""
    weights = [person.bodyweight for person in people if person.bodyweight is not None]
    return total_load(weights) if people and len(weights) == len(people) else None


def concerns(ruling: Ruling, event: str, entry: str, assignment: str) -> bool:
    """Whether a ruling is about this entry in this event. One on a lane assignment holds for that assignment alone."""
    if ruling.kind == "rerun":
        return ruling.entry == entry and assignment in (ruling.assignment, ruling.body["again"])
    if ruling.assignment is not None:
        return ruling.assignment == assignment
    return ruling.entry == entry and ruling.event in (None, event)


def status_of(about: Sequence[Ruling]) -> str | None:
    """The status that the newest ruling gives, if any; "" as a status lifts an earlier one."""
    newest = ""
    for ruling in sorted(about, key=lambda r: r.order):
        if ruling.kind == "status":
            newest = str(ruling.body["status"])
    return newest if newest in STATUS else None


def _penalty(about: Sequence[Ruling], rule: ScoreRule) -> Fraction:
    """What the penalties on an entry add up to in one score, in its unit. One that names no score holds in each."""
    amounts = [ruling.body["amount"] for ruling in about if ruling.kind == "penalty" and _tells(ruling, rule)]
    return sum(map(Fraction, amounts), Fraction(0))


def _tells(ruling: Ruling, rule: ScoreRule) -> bool:
    """Whether a ruling changes what stands in a score."""
    return ruling.kind in TELLING and ruling.body.get("score", rule.id) == rule.id


def _with_penalty(rule: ScoreRule, made: Score, amount: Fraction) -> Score:
    """Penalties apply after the score is made: taken from a more-is-better score, added to a less-is-better one."""
    if not amount:
        return made
    value = made.value - amount if rule.better == "more" else made.value + amount
    sign = -1 if rule.better == "more" else 1
    text = made.text if made.in_words else score_text(value, made.unit, made.left)
    return replace(made, value=value, key=(*made.key[:-1], sign * value), text=text)


def _in_unit(made: Score, unit: str) -> Score:
    """A score in the unit of its standing: where variants measure in different ones, all are points."""
    if made.unit == unit:
        return made
    return replace(made, unit=unit, text=made.text if made.in_words else score_text(made.value, unit, made.left))
