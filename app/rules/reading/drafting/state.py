"""What is known while a text is read statement by statement, and what every kind of statement needs."""

from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafts import Draft, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.sense_words import Known
from app.rules.reading.talk import Span, Talk


class Drafting:
    """The draft as far as it is told, and what the next statement may belong to."""

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.draft = Draft()
        self.most = ""
        self.in_each = False  # what is told next is done in each round or set
        self.then_comes: Statement | None = None  # `then you come back in`: what is done then is told later
        self.most_span: Span | None = None  # of the words that say it
        self.early: list[tuple[str, Span]] = []
        self.scoring = self.holding = self.meanwhile = self.joined = self.comma = False
        self.told: list[Statement] = []  # of this sentence
        self.alone: list[Statement] = []  # of this line
        self.gone_round = 0  # how often what both have done was told to be done
        self.both: list[Stretch] = []  # what both of a pair have done, until more work is told
        self.last: Work | None = None
        self.known_now: Known | None = None  # until another statement is said
        self.member: tuple[int, ...] | None = None
        self.named_until = 0  # where the member that was named last stands
        self.line_began_stretch = False
        self.style_told: list[tuple[str, str]] = []  # how they share it, each way by its kind and its words
        self.in_complex = False  # what is told in this line is one lift
        self.alike = False  # the load that comes is that of several things
        self.named_before = False  # what is done stood before the times of its windows
        self.timed_line = False  # this line says that it is for time
        self.loose_line = False  # a load that stands apart was told in this line
        self.hold_span: Span | None = None
        self.cycle: int | None = None  # seconds of the next thing, of several with a time each in every round
        self.at = 0  # where the statement begins
        self.ahead = ""  # the rule of the next statement in the line
        self.each_set = False  # the next thing is done in each of the sets above
        self.each_next = False  # every member does what is told next
        self.inside: int | None = None  # seconds that the next thing has inside a longer window

    def let_go(self) -> None:
        """Somebody holds, and what is not said."""
        if self.holding and self.hold_span:
            self.talk.red(self.hold_span, "What is held is not said.")
        self.holding = False

    @property
    def here(self) -> Stretch:
        """The stretch that is being told."""
        if not self.draft.stretches:
            self.draft.stretches.append(Stretch())
        return self.draft.stretches[-1]

    @property
    def told_here(self) -> list[Work]:
        """What is done in the stretch that is being told."""
        return self.draft.stretches[-1].works if self.draft.stretches else []

    @property
    def wants_things(self) -> bool:
        """Whether names alone are things to do here: under a scheme, after a heading of time."""
        if not self.draft.stretches:
            return bool(self.most)
        here = self.here
        begins = not here.works and not here.rest_only and (here.kind in ("windows", "lift", "every") or here.seconds is not None)
        return bool(here.group.scheme or self.most or begins)

    def pending_rounds(self) -> int | None:
        """Rounds that were said before anything is done in them."""
        here = self.here
        return here.group.rounds if not here.works and not here.kind and here.group.rounds > 1 else None

    def _take(self, kind: str, statement: Statement) -> bool:
        self.draft.takes.append((kind, span_of(statement)))
        return True

    @property
    def next_part(self) -> int:
        """The number of the next part, where parts are told by their numbers."""
        return max((one.part or 0 for one in self.draft.stretches), default=0) + 1

    def part(self, number: int = 0) -> bool:
        """Another part begins; with its number, where it is the next."""
        if self.here.works:
            self.trailing_rest(self.here)
            self.draft.stretches.append(Stretch())
        if number == self.next_part:
            self.here.part = number
        return True

    def fresh(self, kind: str, reuse: bool = True) -> Stretch:
        """A stretch to begin with: the one at hand while nothing is done in it yet, else a new one."""
        here = self.here
        begun = here.kind == "windows" and here.start is not None and not here.works and not here.rest_only
        if begun and kind and reuse:  # `10:00-16:00 AMRAP`: its time is told
            if kind == "time":
                self._rounds_of_list(here)
        elif here.works or here.kind or here.rest_only or not reuse:
            self.trailing_rest(here)
            self.draft.stretches.append(Stretch())
        self.here.kind = kind  # type: ignore[assignment]
        if self.member and not self.meanwhile:
            self.here.who = self.member
        self.last = None
        return self.here

    def listed_from_to(self) -> bool:
        """Whether it is a list from here to there on the clock that was told, `0:00-8:00: 3 rounds of …`, and its rounds then."""
        here = self.here
        listed = here.until is not None and len(here.groups) == 1 and all(one.amount and not one.most for one in here.works)
        if here.kind != "windows" or not here.works or not listed or here.off or here.alternates:
            return False
        self._rounds_of_list(here)
        return True

    @staticmethod
    def _rounds_of_list(here: Stretch) -> None:
        """`0:00-8:00`, and below it `3 rounds for time`: they are of the list, and no windows."""
        if here.count:
            here.group.rounds, here.count, here.ends = here.count, None, None

    def trailing_rest(self, stretch: Stretch) -> None:
        """A rest at the end of a list, before something else begins, lies between the two."""
        works = stretch.group.works
        if works and works[-1].rest and stretch.group.rounds == 1:
            rest = works.pop()
            stretch.after, stretch.after_span = rest.rest, rest.span


def named_alone(stretch: Stretch) -> Work | None:
    """The only thing that is named in a stretch, without a number: `clean ladder`."""
    works = stretch.works
    return works[0] if len(works) == 1 and works[0].amount is None and not works[0].most else None


def whole(tok: Tok) -> int | None:
    """A number of things; None where it is no whole one, or where there are several."""
    return int(tok.values[0]) if len(tok.values) == 1 and tok.values[0].isdigit() else None


def length_of(tok: Tok) -> int | None:
    """Seconds: of a time as it stands, of a bare number as minutes, of 12' as minutes and 30" as seconds."""
    if len(tok.values) != 1 or "." in tok.values[0]:
        return None
    seconds = int(tok.values[0]) * {"BARE": 60, "PRIMED": 60 if tok.unit == "PRIME" else 1}.get(tok.kind, 1)
    return seconds if 0 < seconds <= 6 * 3600 else None
