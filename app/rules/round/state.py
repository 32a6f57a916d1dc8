"""What the records of a round come to: every hand-in, line, look, appeal and invitation with the state that it is in."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from hashlib import sha256
from typing import Any, TypeVar

from app.rules.round import records as r
from app.rules.round.moves import BEFORE
from app.rules.round.rule import Rule
from app.rules.round.scale import Score
from app.rules.round.words import film_word

T = TypeVar("T")


@dataclass(slots=True)
class HandIn:
    """A gym's hand-in: its promise, its state, what was amiss with it."""

    promise: r.Promised
    state: str = "promised"
    faults: tuple[str, ...] = ()


@dataclass(slots=True)
class Look:
    """A look at a line by a reviewer: its state, when it was taken, what was sealed and the score that gives."""

    offer: r.LookOffered
    state: str = "offered"
    taken_at: int = 0
    sealed: r.LookSealed | None = None
    score: Score = None


@dataclass(slots=True)
class LineState:
    """A line: its counting claim and the score of that, its state, the score that counts (None: refused), its leaf in the roll.

    late: it was admitted after the roll. film: an address is known. asks: how many looks were asked for, the first when and each
    why.
    """

    claim: r.Claim
    claimed: Fraction
    value: Score
    leaf: str
    late: bool
    film: bool
    state: str = "claimed"
    asks: tuple[r.Asked, ...] = ()
    looks: tuple[Look, ...] = ()
    doubt: r.Doubt | None = None
    decision: r.Decision | None = None
    appeal: str = ""  # the state of an appeal against the decision
    appeal_why: str = ""
    answer: r.Answer | None = None

    @property
    def sealed(self) -> list[Score]:
        """The scores of its sealed looks."""
        return [look.score for look in self.looks if look.state == "sealed"]

    @property
    def open_looks(self) -> int:
        """How many of its looks are offered or taken."""
        return sum(look.state in ("offered", "taken") for look in self.looks)

    def reviewers(self) -> Iterator[str]:
        """Who has, or has had, a look at it."""
        yield from (look.offer.reviewer for look in self.looks)


@dataclass(slots=True)
class Invitation:
    """An entry's invitation: its division, its state, when it was offered."""

    division: str
    at: int
    state: str = "offered"


@dataclass(slots=True)
class RoundState:
    """A whole round. faults: records that were refused, by number, with the sentence. corrections: by gym, lines that came out
    worse. waiting: the hand-ins that are promised, or in and not checked.

    asked: of all lines, how many looks by reason. worked: what was worked out of the state, forgotten when a line's score
    changes. orders: what is kept of each division's order (order.py), None before somebody asks; changed: the entries, each with
    its division, that it does not know of yet.
    """

    stage: str = BEFORE
    rule: Rule | None = None
    key: str = ""
    opening: str = ""
    deadline_ms: int = 0
    gyms: dict[int, r.Gym] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)
    reviewers: dict[str, r.Reviewer] = field(default_factory=dict)
    hand_ins: dict[str, HandIn] = field(default_factory=dict)
    waiting: dict[str, HandIn] = field(default_factory=dict)
    lines: dict[r.LineKey, LineState] = field(default_factory=dict)
    looks: dict[str, Look] = field(default_factory=dict)
    roll: r.Roll | None = None
    draw: r.Draw | None = None
    seed: str = ""
    named: set[int] = field(default_factory=set)
    corrections: Counter[int] = field(default_factory=Counter)
    asked: Counter[str] = field(default_factory=Counter)
    published_at: int = 0
    invitations: dict[int, Invitation] = field(default_factory=dict)
    faults: list[tuple[int, str]] = field(default_factory=list)
    worked: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)
    orders: dict[str, Any] | None = field(default=None, compare=False, repr=False)
    changed: set[tuple[str, int]] = field(default_factory=set, compare=False, repr=False)

    @property
    def rules(self) -> Rule:
        """The rule of a round that was opened."""
        assert self.rule is not None, "no round was opened"
        return self.rule

    @property
    def waits_for_its_word(self) -> bool:
        """Whether films show a word that nobody can know yet."""
        return bool(self.rules.film_word) and not self.opening

    def film_word(self, entry: int) -> str:
        """The word that an entry's films show; empty in a round without."""
        return film_word(self.opening, entry, self.rules.film_word) if self.opening else ""

    def tickets(self) -> dict[int, list[tuple[str, r.LineKey]]]:
        """By gym, the lines of the roll, each behind its ticket, the lowest first; empty before the draw."""
        if not self.seed:
            return {}
        return self.once("tickets", self._tickets)

    def _tickets(self) -> dict[int, list[tuple[str, r.LineKey]]]:
        found: dict[int, list[tuple[str, r.LineKey]]] = defaultdict(list)
        for key, line in self.on_the_roll():
            found[line.claim.gym].append((ticket(self.seed, key[0], line.leaf), key))
        return {gym: sorted(those) for gym, those in sorted(found.items())}

    def on_the_roll(self) -> list[tuple[r.LineKey, LineState]]:
        """The lines that the roll holds, in the order of entry and event; one that was admitted later is none."""
        return sorted((pair for pair in self.lines.items() if not pair[1].late), key=lambda pair: pair[0])

    def line_of(self, entry: int) -> LineState | None:
        """One of the lines of an entry: all are of one gym and division."""
        found = (self.lines.get((entry, event.id)) for event in self.rules.events)
        return next((line for line in found if line is not None), None)

    def once(self, key: object, make: Callable[[], T]) -> T:
        """What is worked out of the scores, made when it is first asked for after they changed."""
        if key not in self.worked:
            self.worked[key] = make()
        made: T = self.worked[key]
        return made

    def score_changed(self, line: LineState) -> None:
        """Forgets what was worked out of the scores of a line's division, and of all scores together."""
        division = line.claim.division
        if self.orders is not None:
            self.changed.add((division, line.claim.entry))
        for key in [one for one in self.worked if one != "tickets" and not (isinstance(one, tuple) and one[1] != division)]:
            del self.worked[key]


def seed_of(root: str, dice: str) -> str:
    """The seed of the draw: SHA-256 of the roll's root and the dice, 64 hex digits."""
    return sha256(f"{root}/{dice}".encode()).hexdigest()


def ticket(seed: str, entry: int, leaf: str) -> str:
    """A line's ticket in the draw, 64 hex digits: the lowest are drawn."""
    return sha256(f"{seed}/{entry}/{leaf}".encode()).hexdigest()
