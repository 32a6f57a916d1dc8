"""What was signed and whether it can still be shown, in words, for the board, paper, spreadsheets and a recount."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

from app.rules.records.document import CompetitionFile
from app.rules.records.in_force import signed_off
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event, Roster
from app.rules.records.rulings import Ruling
from app.rules.records.signed import Held, held_faults, overall_of
from app.rules.result.in_the_way import left_out_of
from app.rules.result.overall_explain import event_names, rule_lines
from app.rules.values.words import known, say

NOT_SHOWN = "marks that were signed are missing or changed"
BY_NUMBER = "Signed off by an older version: only the number of marks was recorded. Reopen it and sign it off again to prove it."
ANOTHER_RULE = "the overall standing is no longer made the way it was signed off"
RULE_NOT_HELD = "it was signed off by an older version, which did not record how the overall standing is made"
NOT_SIGNED = "Not signed off"
NOT_ALL_SIGNED = "Provisional until every event is signed off"
JOINED = "Combined from several halls' files: each hall signs off its own results, nobody the whole"


@dataclass(frozen=True, slots=True)
class Stated:
    """How final results are, in words; whether they are final; what was changed since they were signed; and what was left out of
    their sign-off, each with the reason."""

    text: str
    final: bool = False
    since: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """All that stands beneath the words."""
        return self.since + self.left_out


def stated_signed(signed: Ruling, faults: Sequence[str]) -> Stated:
    """Who signed an event off. It is the desk where it was signed by the desk's password; final only where nothing was left out,
    and what was signed is here."""
    by = say("{by}, for the desk", by=signed.by) if signed.body.get("signer") == "desk" else signed.by
    left_out = tuple(say("Left out: {what}. {why}", what=what, why=why) for what, why in left_out_of(signed))
    but = _but(len(left_out), [NOT_SHOWN] if faults else [])
    told = say("Signed off by {by}{but}", by=by, but=but) if but else say("Final: signed off by {by}", by=by)
    return Stated(told, not but, left_out=left_out)


def stated_in(file: CompetitionFile, event: str) -> Stated:
    """How final an event's results are by a competition file alone, which knows no time."""
    signed = signed_off(file.rulings, event)
    return Stated(NOT_SIGNED) if signed is None else stated_signed(signed, faults_in(file, signed))


def faults_in(file: CompetitionFile, signed: Ruling) -> tuple[str, ...]:
    """What of the marks that an event was signed off with can't be shown by the file, as sentences."""
    held, event_of = Held.of(signed), {lane.id: heat.event for heat in file.heats for lane in heat.lanes}
    marks = (mark for mark in file.marks if event_of.get(mark.sheet.partition("/")[0]) == signed.event)
    return tuple(held_faults(held, marks)) if held else ()


def stated_joined(halls: Sequence[tuple[str, Stated]]) -> Stated:
    """How final an event is that several halls ran, or the overall standing of all halls: not, for nobody signs the joined off.
    `halls`: what each says, by its name."""
    return Stated(JOINED, since=tuple(f"{name}: {said.text}" for name, said in halls))


def stated_overall_of(roster: Roster, rulings: Sequence[Ruling], faulty: bool) -> Stated:
    """How final the overall standing is: final where every event is signed off, with nothing left out or missing, and it is made
    as it was when the last of them was signed. `faulty`: of some event the signed marks can't be shown."""
    found = [(event.name, signed_off(rulings, event.id)) for event in roster.events]
    signed = [(name, ruling) for name, ruling in found if ruling is not None]
    if not signed or len(signed) < len(found):
        return Stated(say(NOT_ALL_SIGNED))
    since, whys = _overall_since(roster, max((ruling for _, ruling in signed), key=lambda ruling: ruling.order))
    left_out = tuple(
        say("{name}. Left out: {what}. {why}", name=name, what=what, why=why)
        for name, one in signed
        for what, why in left_out_of(one)
    )
    but = _but(len(left_out), [NOT_SHOWN, *whys] if faulty else whys)
    return Stated(say("Signed off{but}", but=but) if but else say("Final"), not but, since, left_out)


def _overall_since(roster: Roster, signed: Ruling) -> tuple[tuple[str, ...], list[str]]:
    """How the overall standing was made when the last event was signed and is made now, where that differs; and why it is not
    final then."""
    said, rule = overall_of(signed)
    if not said:
        return (), [RULE_NOT_HELD] if roster.overall is not None else []
    if rule == roster.overall:
        return (), []
    return (_made(say("As signed by {by}", by=signed.by), rule, roster), _made(say("Now"), roster.overall, roster)), [
        ANOTHER_RULE
    ]


def _but(left_out: int, whys: Sequence[str]) -> str:
    """Why what was signed is not final: `, but for 2 things left out`; empty where it is."""
    told = [say("for {these}", these=say("left_out", n=left_out))] if left_out else []
    told += [known(why) for why in whys]
    return (
        say(", but {these}", these=reduce(lambda one, other: say("{one}, and {other}", one=one, other=other), told))
        if told
        else ""
    )


def _made(when: str, rule: OverallRule | None, roster: Roster) -> str:
    """How the overall standing was or is made, in one line."""
    if rule is None:
        return say("{when}: no overall standing.", when=when)
    named = next((event.name for event in roster.events if event.id == rule.named), "")
    return f"{when}: {' '.join(rule_lines(rule, named, event_names(roster)))}"


def proof_lines(signed: Ruling, faults: Sequence[str]) -> tuple[str, ...]:
    """What can't be shown of the marks that were signed, as sentences; empty where the digests prove all of them."""
    held = Held.of(signed)
    return (*faults, *([] if held is None or held.proven else [BY_NUMBER]))


@dataclass(frozen=True, slots=True)
class SignedProof:
    """What a competition file proves of the sign-off of an event: its name, how final it is, how many marks were signed, and what
    can't be shown of them: `faults`, or only that an older version signed."""

    event: str
    said: Stated
    marks: int = 0
    lines: tuple[str, ...] = ()
    faults: bool = False


def proofs_in(file: CompetitionFile) -> tuple[SignedProof, ...]:
    """What a competition file proves of each event's sign-off."""
    return tuple(_proof(file, event) for event in file.events)


def _proof(file: CompetitionFile, event: Event) -> SignedProof:
    signed = signed_off(file.rulings, event.id)
    held = Held.of(signed) if signed else None
    if signed is None or held is None:
        return SignedProof(event.name, Stated(NOT_SIGNED))
    faults = faults_in(file, signed)
    return SignedProof(event.name, stated_signed(signed, faults), held.count, proof_lines(signed, faults), bool(faults))
