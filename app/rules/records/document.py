"""The competition file: everything that a result needs, in one JSON document."""

import re
from collections.abc import Sequence
from hashlib import sha256
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema, model_validator

from app.rules.records.holding import MOST_HOLDS, Hold, check_holds
from app.rules.records.kinds import BODY, KINDS, ROWS
from app.rules.records.marks import ID, SHEET, BadMark, Mark, lacking, parse_received, received_plain
from app.rules.records.roster import Millis, Roster, check_known
from app.rules.records.rulings import Ruling
from app.rules.records.seal import Digest, Seal
from app.rules.records.seats import RECEIVED
from app.rules.values.shapes import Base, Id, Said


class Run(Base):
    """One GO of a heat. The newest run that was not stopped is the one that counts. `holds`: when its clock stood, in order."""

    heat: Id
    number: int = Field(ge=1, le=9999)
    go_server_ms: Millis = 0
    go_wall_ms: Millis = 0
    boot: str = Field(default="", max_length=80)
    state: Literal["set", "stopped", "closed"] = "set"
    why: Said = Field(default="", max_length=500)
    holds: tuple[Hold, ...] = Field(default=(), max_length=MOST_HOLDS)

    @model_validator(mode="after")
    def _holds_in_order(self) -> Self:
        check_holds(self.holds)
        return self


def _mark(value: object) -> object:
    if isinstance(value, Mark):
        return value
    try:
        return parse_received(value, public=True)  # what may lack in a public file alone: see _nothing_lacks
    except BadMark as wrong:
        raise ValueError(str(wrong)) from None


# Named groups are written in one way in Python and in another in JavaScript, so the published pattern has plain ones.
MARK_SCHEMA: dict[str, Any] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["id", "sheet", "device", "epoch", "seq", "kind", "at", "err", "body"],
    "properties": {
        "id": {"type": "string", "pattern": f"^{ID.pattern}$"},
        "sheet": {"type": "string", "pattern": "^" + re.sub(r"\?P<\w+>", "", SHEET.pattern) + "$"},
        "device": {"type": "string", "pattern": "^[A-Za-z0-9_-]{1,40}$"},
        "epoch": {"type": "integer", "minimum": 1},
        "seq": {"type": "integer", "minimum": 1},
        "kind": {"enum": list(KINDS)},
        "at": {"type": "integer", "description": "milliseconds on the heat clock, 0 is GO"},
        "err": {"type": "integer", "minimum": 0, "description": "bound on the error of `at`, in milliseconds"},
        "win": {"type": ["integer", "null"], "minimum": 0},
        "body": {"type": "object", "properties": {name: {} for fields in BODY.values() for name in fields}},
        "receipt": {
            "type": "object",
            "description": "what the desk knew when the mark came; files of version 1 do not say",
            "additionalProperties": False,
            "required": ["number", "seat"],
            "properties": {
                "number": {"type": "integer", "minimum": 1, "description": "its place in the order of receipt"},
                "seat": {"enum": list(RECEIVED)},
                "clock": {"type": "integer", "description": "milliseconds since GO by the desk's clock, holds included"},
                "wall": {"const": True, "description": "that was reckoned by the wall clock"},
                "again": {"const": True, "description": "the first receipt is not known"},
            },
        },
    },
}

Place = Annotated[str, Field(pattern=r"^[A-Za-z0-9_/-]{1,160}$")]
MarkId = Annotated[str, Field(pattern=f"^{ID.pattern}$")]
LedgerMark = Annotated[Mark, BeforeValidator(_mark), PlainSerializer(received_plain), WithJsonSchema(MARK_SCHEMA)]


class Ledger(Base):
    """Whose ledger it is. The id follows from the secret, which the ledger alone holds and a public file leaves out: a
    file that has it was made from that ledger. The secret salts what is withheld (result/withholding.py)."""

    id: str = Field(pattern=r"^[0-9a-f]{32}$")
    secret: Digest | None = None

    @model_validator(mode="after")
    def _proven(self) -> Self:
        if self.secret is not None and self.id != ledger_id(self.secret):
            raise ValueError("The ledger is not the one that its secret is of.")
        return self


def ledger_id(secret: str) -> str:
    """The id of the ledger that holds a secret: 64 hex digits, drawn when the ledger was made."""
    return sha256(f"lane-ledger/{secret}".encode()).hexdigest()[:32]


# What is written. Version 6 did not know in which life of its tablet's clock a lift was marked. Version 5 knew of nobody's sex,
# of no points by bodyweight, of no classes and teams, and of nobody at the bar. In version 4 no event named its divisions, none
# was weighed or left out overall, no point of the work parted equal scores, no load grew, no lifter was called, and no total
# asked for a good lift in each. Version 3 knew of no words beside a movement's name, and did not say what a movement began as
# in the library. A sign-off of version 2 did not hold the overall rule; version 1 knew of no receipts, of no ledger, and of
# nothing withheld.
VERSION: Literal[7] = 7


class CompetitionFile(Roster):
    """The competition file: a roster with its runs, rulings and all marks. Its standings can be computed by anybody.

    ledger: whose it is; files of version 1 do not say it. withheld: of a public file, what was left out of it, as
    commitments by place; None: nothing was. awaited: marks that others name and that had not come when the file was written.
    """

    file: Literal["lane-ledger-competition"] = "lane-ledger-competition"
    version: Literal[1, 2, 3, 4, 5, 6, 7] = VERSION
    made_wall_ms: Millis = 0
    ledger: Ledger | None = None
    withheld: dict[Place, Digest] | None = None
    awaited: tuple[MarkId, ...] = ()
    seal: Seal | None = None
    runs: tuple[Run, ...] = ()
    rulings: tuple[Ruling, ...] = ()
    marks: tuple[LedgerMark, ...] = ()

    @model_validator(mode="after")
    def _runs_known(self) -> Self:
        heats = {heat.id for heat in self.heats}
        for run in self.runs:
            check_known("Run", str(run.number), "heat", run.heat, heats)
        if len({(run.heat, run.number) for run in self.runs}) != len(self.runs):
            raise ValueError("A heat has two runs of one number.")
        return self

    @model_validator(mode="after")
    def _nothing_lacks(self) -> Self:
        if self.withheld is not None:
            if self.ledger is not None and self.ledger.secret is not None:
                raise ValueError("A public file does not hold the secret of its ledger.")
            return self
        for number, mark in enumerate(self.marks):
            if ROWS[mark.kind].private and (name := lacking(mark)):
                raise ValueError(f"Mark {number}: a {mark.kind} mark must say its {name}.")
        return self


def counting_run(runs: Sequence[Run], heat: str) -> Run | None:
    """The run of a heat that counts: the newest that was not stopped."""
    standing = [run for run in runs if run.heat == heat and run.state != "stopped"]
    return max(standing, key=lambda run: run.number, default=None)


def counting_number(runs: Sequence[Run], heat: str) -> int:
    """The number of the run whose sheets count.

    Without a standing run it is the next one: a lane that started by hand while the desk was gone stands there.
    """
    counting = counting_run(runs, heat)
    if counting is not None:
        return counting.number
    return max((run.number for run in runs if run.heat == heat), default=0) + 1


def closed_lanes(roster: Roster, event: str, runs: Sequence[Run]) -> frozenset[str]:
    """The lane assignments of an event whose heat the desk has closed: no lift follows in them."""
    heats = (heat for heat in roster.heats if heat.event == event)
    ended = (heat for heat in heats if (run := counting_run(runs, heat.id)) is not None and run.state == "closed")
    return frozenset(lane.id for heat in ended for lane in heat.lanes)
