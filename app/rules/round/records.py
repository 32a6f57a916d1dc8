"""The records of a round: one class for each kind.

A record has a number, which orders all of them, the time at which headquarters took it (Unix milliseconds), and who said it. A
line is an entry in an event. A number is written as text where it may be a fraction.
"""

from typing import Annotated, Literal

from pydantic import Field

from app.rules.records.seal import Digest
from app.rules.round.rule import Parts, Rule
from app.rules.round.words import LETTERS, MOST_LETTERS, OPENING_LETTERS
from app.rules.values.shapes import Base, ExactNumber, Id, Key, Line, Name

HEADQUARTERS = "Headquarters"
MOST_REPS = 1500  # counted one by one in a part
LineKey = tuple[int, str]  # entry number, event id
EntryNumber = Annotated[int, Field(ge=1, le=10**9)]
GymNumber = Annotated[int, Field(ge=1, le=10**6)]
Ms = Annotated[int, Field(ge=0, le=2**53)]


class Kept(Base):
    """What every record has."""

    number: int = Field(ge=1)
    at: Ms
    by: Name = HEADQUARTERS


class OfLine(Kept):
    """A record about one line."""

    entry: EntryNumber
    event: Id

    @property
    def line(self) -> LineKey:
        """Which line."""
        return (self.entry, self.event)


class OfHandIn(Kept):
    """A record about one hand-in, which is known by the SHA-256 of its file."""

    hand_in: Digest


class OfLook(Kept):
    """A record about one look, which is known by an id."""

    look: Id


class OfInvitation(Kept):
    """A record about the invitation of an entry."""

    entry: EntryNumber


class Opened(Kept):
    """The round begins, by a rule. key: headquarters' public key, by which its receipts are signed."""

    kind: Literal["opened"] = "opened"
    rule: Rule
    key: Digest | None = None


class OpeningWord(Kept):
    """The word that was published at the opening; without it nobody knows a film word."""

    kind: Literal["opening"] = "opening"
    word: str = Field(pattern=f"^[{LETTERS}]{{{OPENING_LETTERS}}}$")


class Gym(Kept):
    """A gym takes part. opened: it was corrected in the last round."""

    kind: Literal["gym"] = "gym"
    gym: GymNumber
    name: Name
    region: str = Field(default="", max_length=60)
    opened: bool = False


class Bound(Kept):
    """A gym's public key (Ed25519, 32 bytes as hex digits), bound by its slip: what it hands in is signed with it."""

    kind: Literal["bound"] = "bound"
    gym: GymNumber
    key: Digest


class Reviewer(Kept):
    """Somebody looks at films; gym: the own one, 0 for none."""

    kind: Literal["reviewer"] = "reviewer"
    reviewer: Id
    name: Name
    gym: int = Field(default=0, ge=0)


class Extended(Kept):
    """The deadline is later, for all."""

    kind: Literal["extended"] = "extended"
    until: Ms
    why: Line


class Promised(OfHandIn):
    """The digest of a gym's hand-in. replaces: the earlier one that it is to stand for."""

    kind: Literal["promised"] = "promised"
    gym: GymNumber
    replaces: Digest | None = None


class Arrived(OfHandIn):
    """The file of a promise came."""

    kind: Literal["arrived"] = "arrived"


class Lapsed(OfHandIn):
    """The file of a promise did not come in time."""

    kind: Literal["lapsed"] = "lapsed"


class Checked(OfHandIn):
    """A hand-in was checked: sound if nothing is amiss."""

    kind: Literal["checked"] = "checked"
    faults: tuple[Line, ...] = Field(default=(), max_length=50)


class HandInWithdrawn(OfHandIn):
    """A gym takes its hand-in back."""

    kind: Literal["withdrawn"] = "withdrawn"
    why: Line


class Claim(OfLine):
    """What an entry says it did: one number for each part of the event. hand_in: that it came with, none if by the entry's own
    link. film: an address is known. film_print: of its film (tree.py); film_checks: what was ticked off of what that must
    show (look_guide.py), for nobody can prove it. person: the commitment to who it is. why: of a claim after the roll, why it was
    admitted."""

    kind: Literal["claim"] = "claim"
    division: Id
    gym: GymNumber
    parts: Parts
    film: bool = False
    hand_in: Digest | None = None
    person: Digest | None = None
    film_print: Digest | None = None
    film_checks: tuple[Key, ...] = Field(default=(), max_length=20)
    why: str = Field(default="", max_length=300)


class FilmCame(OfLine):
    """The address of a line's film is known now."""

    kind: Literal["film"] = "film"


class Roll(Kept):
    """No more lines are awaited: the root of all that there are."""

    kind: Literal["roll"] = "roll"
    root: Digest
    lines: int = Field(ge=0)


class Draw(Kept):
    """The dice that were rolled after the root was published, and who saw them."""

    kind: Literal["draw"] = "draw"
    dice: str = Field(pattern=r"^[1-9]+$", max_length=1000)
    witnesses: tuple[Name, ...] = Field(min_length=1, max_length=50)


class Doubt(OfLine):
    """A reason to look at a line, which changes no score."""

    kind: Literal["doubt"] = "doubt"
    why: Line


Reason = Literal["top", "draw", "opened", "doubt", "again", "late", "ruling"]


class Asked(OfLine):
    """A look at a line is asked for; who rules it without a rule's reason says why."""

    kind: Literal["asked"] = "asked"
    reason: Reason
    why: str = Field(default="", max_length=300)


class LookOffered(OfLine):
    """A line's film is put before a reviewer."""

    kind: Literal["look-offered"] = "look-offered"
    look: Id
    reviewer: Id


class LookTaken(OfLook):
    """The reviewer begins; the look is theirs for the rule's time."""

    kind: Literal["look-taken"] = "look-taken"


class LookGivenBack(OfLook):
    """The reviewer does not look, or the time is over."""

    kind: Literal["look-given-back"] = "look-given-back"


class Seen(Base):
    """What a reviewer counted of one part, what was amiss with it, and when in the film (milliseconds); reps: the moment of each
    repetition that was counted one by one."""

    value: ExactNumber
    faults: tuple[Key, ...] = Field(default=(), max_length=10)
    at_ms: Ms | None = None
    reps: tuple[Ms, ...] = Field(default=(), max_length=MOST_REPS)


class Gear(Base):
    """A bar, collar, plate or marking that was identified or measured, and when in the film (milliseconds)."""

    what: Literal["bar", "collar", "plate", "marking"]
    says: Line
    at_ms: Ms


class LookSealed(OfLook):
    """What the reviewer saw, for ever: of each part of the event, of the equipment, and of the line as a whole. word: the film
    word as it was read; empty where none was seen."""

    kind: Literal["look-sealed"] = "look-sealed"
    seen: tuple[Seen, ...]
    faults: tuple[Key, ...] = Field(default=(), max_length=10)
    word: str = Field(default="", pattern="^[A-Z]*$", max_length=MOST_LETTERS)
    gear: tuple[Gear, ...] = Field(default=(), max_length=200)


Outcome = Literal["stands", "adjusted", "refused"]


class Decision(OfLine):
    """What the scale gives of a line's looks, said by a head judge; `no-film`: none came after it was asked for."""

    kind: Literal["decision"] = "decision"
    outcome: Outcome
    value: ExactNumber | None = None
    why: Literal["looks", "no-film"] = "looks"


class Named(Kept):
    """A head judge names a gym with corrections: its lines need looks before an invitation."""

    kind: Literal["named"] = "named"
    gym: GymNumber
    why: Line


class Published(Kept):
    """The standing is published; what was not looked at is published so."""

    kind: Literal["published"] = "published"


class Appeal(OfLine):
    """An entry appeals against a decision."""

    kind: Literal["appeal"] = "appeal"
    why: Line


class Answered(OfLine):
    """An appeal has an answer: upheld, the claim stands; partly, the score is `value`; refused, all stays as it was decided."""

    outcome: Literal["upheld", "partly", "refused"]
    value: ExactNumber | None = None
    why: Line


class Answer(Answered):
    """The answer of another head judge."""

    kind: Literal["answer"] = "answer"


class Panel(Answered):
    """The answer of a panel, after another head judge's."""

    kind: Literal["panel"] = "panel"
    judges: tuple[Name, ...] = Field(min_length=1, max_length=15)


class Signed(Kept):
    """All lines are final."""

    kind: Literal["signed"] = "signed"


class Invited(OfInvitation):
    """An entry is invited."""

    kind: Literal["invited"] = "invited"


class Accepted(OfInvitation):
    """It comes."""

    kind: Literal["accepted"] = "accepted"


class Declined(OfInvitation):
    """It does not come."""

    kind: Literal["declined"] = "declined"


class NoAnswer(OfInvitation):
    """It did not answer in time."""

    kind: Literal["no-answer"] = "no-answer"


class Uninvited(OfInvitation):
    """An accepted invitation is taken back by a ruling."""

    kind: Literal["uninvited"] = "uninvited"
    why: Line


Record = Annotated[
    Opened | OpeningWord | Gym | Bound | Reviewer | Extended | Promised | Arrived | Lapsed | Checked
    | HandInWithdrawn | Claim | FilmCame | Roll | Draw | Doubt | Asked | LookOffered | LookTaken
    | LookGivenBack | LookSealed | Decision | Named | Published | Appeal | Answer | Panel | Signed | Invited
    | Accepted | Declined | NoAnswer | Uninvited,
    Field(discriminator="kind"),
]  # fmt: skip
