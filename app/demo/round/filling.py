"""The demo's round as far as it has come: kit, hand-ins, draw, and the looks of simulated reviewers at all but three films."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from secrets import randbelow
from tempfile import TemporaryDirectory

from app.demo.judge import Scribe
from app.demo.round.cast import (
    DIVISIONS,
    ENTRIES,
    FILMED,
    GYMS,
    YOUR_GYM,
    YOUR_NAME,
    YOUR_REGION,
    Squatter,
    entries_of,
    number_of,
    squats_of,
    the_event,
)
from app.demo.round.films import GO_MS, address_of, film_of
from app.hall.hall import Hall
from app.round.film_list import keep_films, kept_films
from app.round.gym.film_notes import FilmNote, keep_notes
from app.round.gym.handing_in import make_hand_in
from app.round.gym.opened import binding_here, keep_kit, keep_opening, read_kit
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, begin_round
from app.round.looks import add_reviewer, next_film, next_look, seal_sheet
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.records.document import CompetitionFile, Ledger, Run, ledger_id
from app.rules.records.marks import Mark
from app.rules.records.roster import Assignment, Athlete, Entry, Heat
from app.rules.round.from_event import rule_from
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.kit import slip_for
from app.rules.round.look_sheet import LookSheet
from app.rules.round.rule import HOUR, Rule
from app.rules.round.tree import film_print

NAME, ROUND = "Squats in six gyms", "demo"
PLACES = {key: 1 for key, _ in DIVISIONS}
MINUTE = HOUR // 60
LEFT_MS = 10 * MINUTE  # until the deadline of a round in which a visitor hands in
WITNESSES = ("Perrin Vale", "Ottoline Crake")
# Three that a visitor may be, one of them of a gym, and two that are simulated.
REVIEWERS = (("first", "Ansel Poole", 0), ("second", "Ottilie Crane", 0), ("third", "Bram Sedge", 3))
SIMULATED = (("fourth", "Ilse Marram", 0), ("fifth", "Dov Kestrelby", 0))
LEFT = ("Sunniva Roke", "Orla Penhallick", "Jonty Fairlamb")  # whose films wait for visitors


def begin(hall: Hall) -> None:
    """Begins the round in the demo's store, three days old: most films are looked at. Raises NoRound where it has begun."""
    now = hall.time.wall_ms()
    headquarters = Headquarters(hall.database, hall.settings.data)
    _open(headquarters, _rule(now - 3 * HOUR, now - 72 * HOUR))
    headquarters.close_roll(now - 2 * HOUR)
    rule = headquarters.state.rules
    headquarters.draw("".join(str(1 + randbelow(rule.sides)) for _ in range(rule.dice)), WITNESSES, now - 2 * HOUR)
    headquarters.go_on(now - 2 * HOUR)
    let_others_look(headquarters, now - HOUR, LEFT)


def begin_open(hall: Hall, address: str) -> None:
    """Begins it some minutes before its deadline, with a further gym that a visitor may be. address: where the demo's server
    answers. Raises NoRound where it has begun."""
    now = hall.time.wall_ms()
    headquarters = Headquarters(hall.database, hall.settings.data)
    yours = GymRow(YOUR_GYM, YOUR_NAME, YOUR_REGION)
    _open(headquarters, _rule(now + LEFT_MS, now - 72 * HOUR), yours, address=address)


def _open(headquarters: Headquarters, rule: Rule, *others: GymRow, address: str = "") -> None:
    """A round in which the six gyms have handed in, and these others have not."""
    gyms = [GymRow(number, name, region) for number, (name, region) in enumerate(GYMS, start=1)]
    kit = begin_round(headquarters, the_event(), rule, [*gyms, *others], rule.opens_ms, address)
    word = headquarters.open_round(rule.opens_ms)
    with TemporaryDirectory() as folder:
        for gym in gyms:
            _hands_in(headquarters, Path(folder) / f"gym-{gym.number}", kit, gym.number, word)
    films = "".join(f"{number_of(one, MOST_OF_A_GYM)},{rule.events[0].id},{address_of(one)}\n" for one in ENTRIES)
    keep_films(headquarters.data, films, headquarters.state)
    for reviewer, name, gym_number in (*REVIEWERS, *SIMULATED):
        add_reviewer(headquarters, reviewer, name, gym_number, rule.opens_ms)


def _rule(deadline_ms: int, opens_ms: int) -> Rule:
    """The round's rule: appeals and answers have minutes, few look, and few dice are rolled."""
    made = rule_from(the_event(), ROUND, NAME, deadline_ms, "UTC", PLACES, opens_ms, 6)
    spans = {"appeal_ms": 3 * MINUTE, "invitation_ms": 10 * MINUTE, "lease_ms": 30 * MINUTE, "grace_ms": 5 * MINUTE}
    return made.model_copy(update=spans | {"most_looks": 3, "dice": 10})


def _hands_in(headquarters: Headquarters, data: Path, kit: bytes, gym: int, word: str) -> None:
    """A gym opens its kit, judges its entries, and hands in: as it does by command, in a folder of its own."""
    key, rule = key_in(headquarters.data, HEADQUARTERS_KEY, make=False), headquarters.state.rules
    opened = keep_kit(data, read_kit(kit, slip_for(key.private, key.public, rule.id, gym).text()))
    keep_opening(data, word)
    _notes_prints(headquarters, data, gym)
    headquarters.bind(binding_here(data), rule.opens_ms)
    made = make_hand_in(data, judged(opened.kit.start, gym, rule.opens_ms), None)
    headquarters.take_in(made.content, rule.deadline_ms - gym * HOUR)
    headquarters.check_here(made.digest, rule.deadline_ms - gym * HOUR)


def _notes_prints(headquarters: Headquarters, data: Path, gym: int) -> None:
    """A gym notes the prints of its films."""
    state = headquarters.state
    notes: list[FilmNote] = []
    for one in entries_of(gym):
        number = number_of(one, MOST_OF_A_GYM)
        print = film_print([film_of(one, state.film_word(number))])
        notes.append(FilmNote(entry=number, event=state.rules.events[0].id, print=print))
    keep_notes(data, notes)


def judged(start: CompetitionFile, gym: int, go_wall_ms: int) -> CompetitionFile:
    """A gym's day: one heat, in which everybody has a lane."""
    entries, secret = entries_of(gym), f"{Random(gym).getrandbits(256):064x}"
    people = tuple(Athlete(id=f"ath_{one.id[4:]}", name=one.name) for one in entries)
    lanes = tuple(Assignment(id=f"asg_{one.id[4:]}", lane=n, entry=one.id) for n, one in enumerate(entries, start=1))
    listed = (Entry(id=o.id, division=o.division, name=o.name, members=(p.id,)) for o, p in zip(entries, people, strict=True))
    update = {
        "ledger": Ledger(id=ledger_id(secret), secret=secret),
        "athletes": people,
        "entries": tuple(listed),
        "heats": (Heat(id="het_1", event=start.events[0].id, number=1, lanes=lanes),),
        "runs": (Run(heat="het_1", number=1, boot="gym", go_wall_ms=go_wall_ms),),
        "marks": tuple(mark for lane, one in zip(lanes, entries, strict=True) for mark in _marks(lane, one, go_wall_ms)),
        "seal": None,
    }
    return start.model_copy(update=update)


def _marks(lane: Assignment, one: Squatter, go_wall_ms: int) -> Iterator[Mark]:
    """What the gym's judge counted, those that were too high as well."""
    pen = Scribe(f"{lane.id}/1/lane", f"tablet_{one.gym}_{lane.lane}", go_wall_ms, Random(lane.id))
    for squat in squats_of(one):
        yield pen.write(squat.end, "rep", squat.window, {})


def let_others_look(headquarters: Headquarters, now_ms: int, but: Sequence[str] = ()) -> int:
    """Lets the simulated reviewers look at every film that waits for them, but those of these people; how many looks."""
    films = {number_of(one, MOST_OF_A_GYM): one for one in FILMED if one.name not in but}
    listed = {key: film for key, film in kept_films(headquarters.data).items() if key[0] in films}
    looks, found = 0, True
    while found:
        found = False
        for reviewer, _, _ in SIMULATED:
            key = next_film(headquarters.state, reviewer, listed, now_ms)
            if key is not None:
                sheet = next_look(headquarters, reviewer, listed, now_ms)
                seal_sheet(headquarters, _seen(sheet, films[key[0]], headquarters.state.film_word(key[0])), now_ms)
                headquarters.go_on(now_ms)
                looks, found = looks + 1, True
    return looks


def _seen(sheet: LookSheet, one: Squatter, word: str) -> LookSheet:
    """What a simulated reviewer sees: each repetition that was deep enough, at its end."""
    deep = [squat for squat in squats_of(one) if squat.deep]
    moments = [[GO_MS + squat.end for squat in deep if squat.window == number] for number in range(len(sheet.parts))]
    parts = [
        part.model_copy(update={"count": str(len(reps)), "reps": tuple(reps)})
        for part, reps in zip(sheet.parts, moments, strict=True)
    ]
    gear = [("bar", "15 kg"), ("plate", "10 kg, on each side"), ("collar", "Spring collars, both on")]
    told = sheet.model_dump(mode="json") | {"word": word, "gear": [{"what": w, "says": s, "at_ms": 6_000} for w, s in gear]}
    return LookSheet.model_validate(told).model_copy(update={"parts": tuple(parts)})
