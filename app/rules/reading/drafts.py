"""A workout as it was said, before it is an event: stretches of time one after another, with the work that is done in each."""

from dataclasses import dataclass, field
from typing import Literal

from app.rules.reading.scan.frames.bars_said import Bars
from app.rules.reading.scan.frames.loads_by_round import RoundLoads
from app.rules.reading.scan.frames.roster_said import Turn
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.reading.versions.legends import Legend
from app.rules.reading.versions.lines import Instead, VersionLine
from app.rules.reading.versions.rounds_named import NamedRounds

AmountKind = Literal["reps", "distance", "calories", "time", "size"]
Kind = Literal["", "amrap", "time", "every", "windows", "lift"]
Role = Literal["", "buy-in", "cash-out", "rest-of-time"]


@dataclass(slots=True)
class Amount:
    """How much of a thing: numbers as plain decimals, the second one another version's."""

    kind: AmountKind
    values: tuple[str, ...]
    unit: str


@dataclass(slots=True)
class Loaded:
    """A load as said: a number for each version, the unit as the grammar calls it (empty: not said), whose the numbers are."""

    values: tuple[str, ...]
    unit: str
    span: Span
    versions: tuple[str, ...] = ()
    gear: str = ""  # what it is the load of: a bar, a kettlebell
    size: Amount | None = None  # a height that is told with it


@dataclass(slots=True)
class Work:
    """A thing to do. `key`: the library's movement that it is, or for an unknown one is like; `name` as it was written."""

    name: str
    key: str
    known: bool
    span: Span
    thing: Span
    amount: Amount | None = None
    load: Loaded | None = None
    size: Amount | None = None
    note: str = ""
    each_side: bool = False
    sync: bool = False
    worth: int | None = None
    versions: tuple[str, ...] = ()
    too_many: bool = False  # two loads, two heights
    most: str = ""  # as many as possible: "reps", "calories", "distance", or "any" where the text does not say of what
    long: int | None = None  # seconds of its own inside a longer window; the rest of it is rest
    rest: int = 0  # seconds of rest, where this line is one
    own_number: bool = False  # of a thing under a scheme, in each of its sets
    joined: bool = False  # by a plus to the one before
    who: tuple[int, ...] | None = None
    instead: "dict[str, Work]" = field(default_factory=dict)  # by version: what is done there in its place


@dataclass(slots=True)
class Group:
    """Work under one heading: so many rounds, or a scheme. `label` is a station's or a minute's."""

    rounds: int = 1
    rounds_span: Span | None = None
    times: bool = False  # told as so many times, `3 x`, and not as rounds
    scheme: tuple[int, ...] = ()
    scheme_span: Span | None = None
    open_end: bool = False
    role: Role = ""
    works: list[Work] = field(default_factory=list)
    label: tuple[int, ...] | Literal["odd", "even"] | None = None
    who: tuple[int, ...] | None = None  # whose window it is, where they take turns
    inline: bool = False
    closed: bool = False  # all of it is told, or is what another does: nothing more stands in it
    gap: int = 0  # before which of its works sets are left out, `…` between the first and the last
    gap_span: Span | None = None
    rises: int = 0  # how many more of each thing every round has, where the last one is not told yet
    rises_span: Span | None = None
    first_span: Span | None = None  # says that what stands here is the first round
    own_scheme: bool = False  # its scheme is told behind the one thing that is done by it
    begins_each: bool = False  # its first thing is told to be done in every round: what follows is too


@dataclass(slots=True)
class Stretch:
    """A stretch of time. `seconds`: of the window, or of each; `count`: how many windows; `total`: of all together; `off`: rest
    between two; `after`: rest after all of it; `start`: where the text says it."""

    kind: Kind = ""
    spans: list[Span] = field(default_factory=list)
    seconds: int | None = None
    count: int | None = None
    total: int | None = None
    off: int = 0
    after: int = 0
    off_span: Span | None = None
    after_span: Span | None = None
    start: int | None = None
    until: int | None = None  # on the clock, told with where it begins: `from 0:00 to 8:00`
    part: int | None = None  # begins the part, or the block, of this number
    ends: tuple[int, Span] | None = None  # on the clock, as the text says it once more
    start_minute: Span | None = None  # says when it begins, by a minute's number
    rest_only: bool = False
    groups: list[Group] = field(default_factory=lambda: [Group()])
    who: tuple[int, ...] | None = None
    holder: tuple[int, ...] | None = None
    held: Work | None = None
    adds: int = 0
    puts_out: bool = False
    attempts: int | None = None
    expected: int | None = None  # attempts, where each is told by the clock
    misses_out: int | None = None
    grows: str = ""
    rules: str = ""  # of attempts, as it is said in one sentence
    repetitions: int = 1  # of a lift: 3 for a heaviest three
    one_try: bool = False
    begun: bool = False  # a lift counts that was begun before the bell
    no_down: bool = False
    times_reps: bool = False
    own_bars: bool = False
    one_bar: bool = False
    until_bell: bool = False
    one_by_one: bool = False
    numbered_windows: bool = False  # its labels are numbers of blocks or intervals, and not of stations
    listed: bool = False  # all of its list is done once in each of its windows
    each_does: bool = False  # every member of an entry does all of it
    style: str = ""  # how members share it, where that is told of this stretch
    in_windows: bool = False  # how often is told as a number of windows
    alternates: bool = False  # so many windows in all, of one thing after the other
    once: bool = False
    own_windows: bool = False
    bar: Loaded | None = None
    step: Loaded | None = None
    plate: Loaded | None = None
    capped: bool = False
    stations: int | None = None  # how many there are, where it is said
    round_off: int = 0  # rest after each round of stations
    most_span: Span | None = None  # says of nothing that stands in its line that it is done as often as possible
    parts_told: tuple[tuple[int, ...], Span] | None = None  # how many of each lift of a complex, told before them: `1 + 1 + 1`
    together: bool = False  # all of its lines are done in each of its windows
    climbs: Span | None = None  # says that there is more in each window, and not yet how many
    round_loads: list[tuple[RoundLoads, Span]] = field(default_factory=list)  # of a bar that changes from round to round

    @property
    def works(self) -> list[Work]:
        """Everything that is done, in order."""
        return [work for group in self.groups for work in group.works]

    @property
    def by_numbers(self) -> bool:
        """Whether it is told by several numbers of windows when something is done: `in minutes 1, 3, 5`."""
        return any(isinstance(group.label, tuple) and len(group.label) > 1 for group in self.groups)

    @property
    def headings(self) -> tuple[Span, ...]:
        """The words that are about all of it, and not about one thing that is done in it."""
        of_works = {work.span for work in self.works}
        return tuple(span for span in self.spans if span not in of_works)

    @property
    def group(self) -> Group:
        """The group that work is added to."""
        return self.groups[-1]

    @property
    def span(self) -> Span | None:
        """From the first to the last word that it came from."""
        if not self.spans:
            return None
        return Span(min(one.start for one in self.spans), max(one.end for one in self.spans))


@dataclass(slots=True)
class Draft:
    """The whole text as it was said."""

    title: str = ""
    divisions: tuple[str, ...] = ()
    unit: str = ""
    unit_span: Span | None = None
    members: int | None = None
    members_span: Span | None = None
    mixed: bool = False  # whether it says that men and women make an entry
    of_both: tuple[str, ...] = ()  # whose the first and the second of two numbers are, where both are in one entry
    style: str = ""
    style_span: Span | None = None
    style_here: str = ""  # of the stretch that is put on the clock, where it is told of that one
    stretches: list[Stretch] = field(default_factory=list)
    cap: int | None = None
    cap_span: Span | None = None
    total: int | None = None  # how long all of it lasts, where windows are told from when to when
    total_span: Span | None = None
    totals: list[tuple[int, Span]] = field(default_factory=list)  # how long all of it lasts, as it is said once more
    scored_apart: bool = False
    scored_in_order: bool = False  # what is taken is told of the first part, then of the second
    takes: list[tuple[str, Span]] = field(default_factory=list)
    score_of: list[tuple[str, Span]] = field(default_factory=list)  # movements that alone count
    uncounted: list[tuple[str, Span]] = field(default_factory=list)  # movements that don't, or a unit, as T_CAL
    score_names: list[str] = field(default_factory=list)
    score_unit: str = ""
    apart: bool = False
    cap_adds: int | None = None
    ties: list[tuple[Tok, Span]] = field(default_factory=list)
    loose: list[tuple[str, Loaded]] = field(default_factory=list)
    heights: list[tuple[str, Amount, tuple[str, ...], Span]] = field(default_factory=list)  # that stand apart, each of what
    version_loads: list[tuple[str, Tok]] = field(default_factory=list)
    version_lines: list[VersionLine] = field(default_factory=list)
    versions: int = 2  # how many numbers for one thing are at most said
    rounds_of: NamedRounds | None = None  # where each version has a number of them
    instead: list[Instead] = field(default_factory=list)
    names: tuple[str, ...] = ()  # of the versions, once they are known
    nth: int | None = None  # the version that is read, where two are told across the lines
    slashed: Span | None = None  # work beside other work, which may be one of each version's
    headed: tuple[str, ...] = ()  # names over all of it, which its pairs of numbers may be of
    written_for: list[tuple[str, Span]] = field(default_factory=list)  # whose all that is told is, as it is said
    legends: list[Legend] = field(default_factory=list)  # what tells whose all pairs of numbers are
    whose: tuple[str, ...] = ()  # what they agree in
    paired: tuple[str, ...] = ()  # whose the two numbers of each version are, where each has two
    in_order: Span | None = None  # where it says that members do it one after the other
    starts: list[tuple[int, int, Span]] = field(default_factory=list)  # who begins at which second of the clock
    roster: tuple[Turn, ...] = ()  # who works when, told without what is done
    roster_span: Span | None = None
    member_rest: tuple[int, Span] | None = None  # seconds between one member and the next
    swaps: list[int] = field(default_factory=list)  # seconds to change, told between lines with a member and a time each
    held_rule: Span | None = None  # where it says that what one does counts while another holds
    changes: list[tuple[int, Span]] = field(default_factory=list)  # places changed in a rest, before so many stretches
    each_lift: tuple[str, ...] | None = None  # by what ties, where each lift is ranked beside the total
    each_span: Span | None = None
    every_part: Span | None = None  # where it says that there is no total without a good lift in each
    bars: Bars | None = None  # bars one after another, as far as they are told
    bars_at: int = 0  # which stretch is theirs
    bars_named: Work | None = None  # what is lifted, where it is named before them
    claims: list[tuple[int, Span]] = field(default_factory=list)  # how many there are, as a sentence about the score says
    claims_of_all: list[tuple[int, Span]] = field(default_factory=list)  # the most that can be done, as it says

    @property
    def sharing(self) -> str:
        """How members share what is put on the clock."""
        return self.style_here or self.style
