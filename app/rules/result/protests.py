"""Protests, and how final an event's results are: provisional while somebody may still protest, final once it is signed off."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from app.rules.records.document import Run, counting_run
from app.rules.records.in_force import opened_again, signed_off, standing
from app.rules.records.roster import Competition, Heat, Protest
from app.rules.records.rulings import Ruling

State = Literal["running", "unannounced", "provisional", "protested", "appealable", "unsigned", "signed"]
MINUTE_MS = 60_000
STATES: Mapping[str, str] = {
    "upheld": "upheld",
    "partly": "upheld in part",
    "refused": "refused",
    "withdrawn": "withdrawn",
    "": "open",
}


@dataclass(frozen=True, slots=True)
class Finality:
    """How final an event's results are.

    running: not every heat has been run. unannounced: over, and the time for protests runs from an announcement that was not made
    yet. provisional: protests may be filed until `until_wall_ms`. protested: `open` of them wait for an answer. appealable: that
    time is over, an answer may be appealed against until `appeals_until_wall_ms`. unsigned: the time is over and none is open,
    but a mark or a ruling may still change it. signed: the event is signed off, by `signed`; where that was before its time was
    over, protests and appeals are still taken until then. opened: what opened it again after
    it was signed, while it is not signed anew. faults: what of the marks that were signed can't be shown (records/signed.py),
    as sentences; with any, it is signed and not final.
    """

    state: State
    until_wall_ms: int | None = None
    appeals_until_wall_ms: int | None = None
    open: int = 0
    signed: Ruling | None = None
    opened: Ruling | None = None
    faults: tuple[str, ...] = ()


def decisions(rulings: Iterable[Ruling]) -> dict[str, Ruling]:
    """The decision that stands on each protest, by its id: the newest."""
    return {str(ruling.body["protest"]): ruling for ruling in standing(rulings) if ruling.kind == "protest"}


def state_text(protest: Protest, decided: Mapping[str, Ruling]) -> str:
    """Open, upheld, upheld in part, refused, withdrawn."""
    return STATES[str(decided[protest.id].body["decision"]) if protest.id in decided else ""]


def over_at(heats: Sequence[Heat], runs: Sequence[Run], length_ms: int) -> int | None:
    """When the last bell of an event's last heat went, by the wall clock; None while a heat with lanes was not run.

    A run that was closed early is taken to have lasted its whole length: nobody loses time for a protest by it. Of one that was
    closed while it was held nobody knows for how long it stood: that hold adds nothing.
    """
    bells = []
    for heat in (heat for heat in heats if heat.lanes):
        run = counting_run(runs, heat.id)
        if run is None or (run.state != "closed" and any(hold.for_ms is None for hold in run.holds)):
            return None
        bells.append(run.go_wall_ms + length_ms + sum(hold.for_ms or 0 for hold in run.holds))
    return max(bells, default=None)


def all_closed(heats: Sequence[Heat], runs: Sequence[Run], length_ms: int, now_wall_ms: int) -> bool:
    """Whether each heat with lanes that has not come to its last bell by the wall clock was closed early."""
    for heat in (heat for heat in heats if heat.lanes):
        run, bell = counting_run(runs, heat.id), over_at((heat,), runs, length_ms)
        if run is None or (run.state != "closed" and (bell is None or now_wall_ms < bell)):
            return False
    return True


def announcements(event: str, heats: Sequence[Heat], runs: Sequence[Run], rulings: Iterable[Ruling]) -> tuple[Ruling, ...]:
    """The announcements of an event's result that stand, in order: the last one counts, and where it is taken back, the one
    before it. One of before the last GO of its heats was of another result."""
    go = last_go(heats, runs)
    said = (ruling for ruling in standing(rulings) if ruling.kind == "announce" and ruling.event == event)
    return tuple(ruling for ruling in said if ruling.made_wall_ms >= go)


def last_go(heats: Sequence[Heat], runs: Sequence[Run]) -> int:
    """When the last of these heats had the GO that counts, by the wall clock; 0 before any had one."""
    return max((run.go_wall_ms for heat in heats if heat.lanes and (run := counting_run(runs, heat.id))), default=0)


def announced_at(event: str, heats: Sequence[Heat], runs: Sequence[Run], rulings: Iterable[Ruling]) -> int | None:
    """When an event's result was announced, by the wall clock; None while it was not."""
    said = announcements(event, heats, runs, rulings)
    return said[-1].made_wall_ms if said else None


def time_runs_from(rules: Competition, bell_wall_ms: int | None, announced_wall_ms: int | None) -> int | None:
    """From when the time for protests runs: the announcement of the result (athletics, Technical Rules 8.2, read), or the last
    bell (common practice, no source), as the competition says; None while that has not come."""
    return announced_wall_ms if rules.protest_from == "announcement" else bell_wall_ms


def open_until(from_wall_ms: int | None, minutes: int) -> int | None:
    """Until when what has so many minutes may be filed: at that moment no more. None while its time has not begun."""
    return None if from_wall_ms is None else from_wall_ms + minutes * MINUTE_MS


def in_time(filed_wall_ms: int, until_wall_ms: int | None) -> bool:
    """Whether what was filed then was filed in time: also before the time began, for a wrong is seen before it is announced."""
    return until_wall_ms is None or filed_wall_ms < until_wall_ms


def finality(
    event: str,
    bell_wall_ms: int | None,
    announced_wall_ms: int | None,
    rules: Competition,
    rulings: Sequence[Ruling],
    protests: Sequence[Protest],
    now_wall_ms: int,
    closed: bool = False,
) -> Finality:
    """How final an event's results are at `now_wall_ms`. A sign-off holds whatever else; then an open protest keeps all open.
    closed: the desk has closed early whichever of its heats has not come to its last bell, so that none is on the floor."""
    opened, begins = opened_again(rulings, event), time_runs_from(rules, bell_wall_ms, announced_wall_ms)
    times = (open_until(begins, rules.protest_minutes), appeals_until(event, rules.appeal_minutes, rulings, protests))
    signed = signed_off(rulings, event)
    if signed is not None:
        return Finality("signed", *times, signed=signed)
    if waiting := len(open_protests(event, rulings, protests)):
        return Finality("protested", *times, open=waiting, opened=opened)
    # What was announced is over, also where somebody has set the wall clock back since its GO.
    begun = announced_wall_ms is not None or (begins is not None and begins <= now_wall_ms)
    if bell_wall_ms is None or (now_wall_ms < bell_wall_ms and not begun and not closed):
        return Finality("running", *times, opened=opened)
    return Finality(_since_the_bell(times, now_wall_ms), *times, opened=opened)


def _since_the_bell(times: tuple[int | None, int | None], now_wall_ms: int) -> State:
    """Where an event stands that is over, with no protest open; `times`: until when protests and appeals may be filed."""
    until, appeals = times
    if until is None:
        return "unannounced"
    if now_wall_ms < until:
        return "provisional"
    return "appealable" if appeals is not None and now_wall_ms < appeals else "unsigned"


def open_protests(event: str, rulings: Sequence[Ruling], protests: Sequence[Protest]) -> tuple[Protest, ...]:
    """The protests about an event that nobody has decided, appeals among them."""
    decided = decisions(rulings)
    return tuple(protest for protest in protests if protest.event == event and protest.id not in decided)


def appeals_until(event: str, minutes: int, rulings: Sequence[Ruling], protests: Sequence[Protest]) -> int | None:
    """Until when some answer about an event may be appealed against; None where no answer can be."""
    decided = decisions(rulings)
    given = [
        decided[one.id].made_wall_ms
        for one in protests
        if one.event == event and not no_appeal(one, decided.get(one.id), protests)
    ]
    return open_until(max(given, default=None), minutes)


def no_appeal(protest: Protest, answer: Ruling | None, protests: Sequence[Protest]) -> str:
    """Why nobody can appeal against the answer to a protest, whatever the time: a sentence, or nothing."""
    if protest.against is not None:
        return "This is the answer to an appeal: there is no third instance."
    if any(one.against == protest.id for one in protests):
        return "There is an appeal against this answer already."
    if answer is None:
        return "The protest is not answered yet: there is nothing to appeal against."
    return "The protest was withdrawn." if answer.body["decision"] == "withdrawn" else ""


def decides_twice(protest: Protest, by: str, decided: Mapping[str, Ruling]) -> bool:
    """Whether an appeal would be decided by whoever gave the first answer, as far as names tell; case and blanks are nothing."""
    first = decided.get(protest.against or "")
    return first is not None and _plain(first.by) == _plain(by)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
