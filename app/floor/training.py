"""Judges' practice: sets against a known truth, the count of ten together, and who is calibrated."""

import json
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.hall.changing import new_id
from app.hall.forms import BadForm, Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.hall.views import State
from app.rules.agree.practice import (
    MOST_CALLS,
    MOVES,
    USUAL_LEVEL,
    USUAL_REPS,
    USUAL_TOLERANCE_MS,
    Agreement,
    Call,
    PracticeSet,
    agreement,
    practice_set,
)
from app.rules.values.alphabet import in_order
from app.rules.values.clock_times import ago_text
from app.rules.values.words import known, say
from app.rules.workout.words import lower_name
from app.store.devices import get_setting, put_setting
from app.store.practice import PRACTICES, Practice, practices
from app.store.refusals import NotThere

MOST_SEED = 2**31
LEVEL = "practice-level"
TOLERANCE = "practice-tolerance-ms"
REPS = "practice-reps"
MOST_MS = 60 * 60_000


@dataclass(frozen=True, slots=True)
class PracticeRules:
    """The parameters of practice, as the desk set them: percent, ms, repetitions."""

    level: int
    tolerance_ms: int
    reps: int


@dataclass(frozen=True, slots=True)
class Trainee:
    """A judge and how the last practice went."""

    id: str
    name: str
    state: State
    words: str


@dataclass(frozen=True, slots=True)
class SetPage:
    """A set to be judged; `plain` is what the page's script plays."""

    judge: str
    name: str
    move: str
    title: str
    faults: str
    reps: int
    plain: str


@dataclass(frozen=True, slots=True)
class CalledRep:
    """A repetition of a finished set: what it was, what was called, whether that was right."""

    number: int
    truth: str
    call: str
    right: bool


@dataclass(frozen=True, slots=True)
class SetResult:
    """A finished set. `summary` in sentences; `missed`: each fault that was let through, and how often."""

    judge: str
    name: str
    title: str
    percent: str
    state: State
    summary: tuple[str, ...]
    missed: tuple[str, ...]
    reps: tuple[CalledRep, ...]


def rules_now(hall: Hall) -> PracticeRules:
    """The parameters of practice."""

    def read(session: Any) -> tuple[str | None, ...]:
        return tuple(get_setting(session, name) for name in (LEVEL, TOLERANCE, REPS))

    level, tolerance, reps = hall.database.read(read)
    return PracticeRules(int(level or USUAL_LEVEL), int(tolerance or USUAL_TOLERANCE_MS), int(reps or USUAL_REPS))


async def set_rules(hall: Hall, typed: Typed) -> None:
    """Changes the parameters of practice. Raises BadForm."""
    read = Reading(typed)
    level = read.needed_whole("level", "The level", 1, 100)
    tolerance = read.needed_whole("tolerance", "The time", 200, 2000)
    reps = read.needed_whole("reps", "The repetitions", 5, 60)
    read.done()

    def write(session: Any) -> None:
        for name, value in ((LEVEL, level), (TOLERANCE, tolerance), (REPS, reps)):
            put_setting(session, name, str(value))

    await hall.database.awrite(write)


def trainees(hall: Hall) -> tuple[Trainee, ...]:
    """All judges of the roster with their last practice."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    latest = {one.judge: one for one in hall.database.read(lambda session: practices(session, "set"))}
    return tuple(_trainee(hall, judge.id, judge.name, latest.get(judge.id)) for judge in in_order(roster.judges))


def calibrated(hall: Hall) -> frozenset[str]:
    """The judges whose last practice reached the level."""
    return frozenset(one.id for one in trainees(hall) if one.state.shape == "safe")


def _trainee(hall: Hall, key: str, name: str, last: Practice | None) -> Trainee:
    if last is None:
        return Trainee(key, name, State("none", say("Not passed yet")), say("no practice yet"))
    when = ago_text(hall.time.wall_ms() - last.made_wall_ms)
    told = say(
        "{percent} % of {of} right, {move}, {when}",
        percent=last.body["percent"],
        of=last.body["of"],
        move=known(MOVES[last.body["move"]].name),
        when=when,
    )
    return Trainee(key, name, _reached(last.body), told)


def _reached(body: Mapping[str, Any]) -> State:
    return State("safe", say("Passed")) if body["passed"] else State("look", say("Below the pass mark"))


def set_page(hall: Hall, judge: str, move: str) -> SetPage:
    """A new set for a judge. Raises NotThere."""
    name = found(needed_roster(hall).judges, judge, "judge").name
    if move not in MOVES:
        raise NotThere(say("There is no such movement to practise."))
    made = practice_set(move, secrets.randbelow(MOST_SEED), rules_now(hall).reps)
    faults = ", ".join(lower_name(known(fault)) for fault in (MOVES[move].short, MOVES[move].not_home))
    return SetPage(judge, name, move, known(MOVES[move].name), faults, len(made.reps), set_plain(made))


def set_plain(made: PracticeSet) -> str:
    """A set as the script plays it, as JSON."""
    reps = [{"start": rep.start, "end": rep.end, "far": float(rep.far), "home": float(rep.home)} for rep in made.reps]
    return json.dumps({"move": made.move, "seed": made.seed, "reps": reps})


async def finish_set(hall: Hall, judge: str, typed: Typed) -> str:
    """Compares a judge's calls with the truth of their set and keeps the result; returns its id. Raises BadForm, NotThere."""
    found(needed_roster(hall).judges, judge, "judge")
    move, seed, count = typed.get("move", ""), _whole(typed, "seed", MOST_SEED), _whole(typed, "reps", 60)
    if move not in MOVES:
        raise refuse("move", "There is no such movement to practise.")
    rules, made = rules_now(hall), practice_set(move, seed, count)
    result = agreement(made, _calls(typed.get("calls", "")), rules.tolerance_ms)
    body = {"move": move, "seed": seed, "stepped": typed.get("stepped") == "yes", **_body(result, rules)}
    practice = Practice(new_id(), "set", judge, hall.time.wall_ms(), body)
    await hall.database.awrite(lambda session: PRACTICES.put(session, practice))
    return practice.id


def set_result(hall: Hall, key: str) -> SetResult:
    """A finished set. Raises NotThere."""
    last = found(hall.database.read(lambda session: practices(session, "set")), key, "practice")
    judges = needed_roster(hall).judges
    name = next((judge.name for judge in judges if judge.id == last.judge), say("A judge who is no longer on the list"))
    body = last.body
    summary = [
        say("{right} of {of} repetitions judged right.", right=body["right"], of=body["of"]),
        say("The pass mark is {level} %: reached.", level=body["level"])
        if body["passed"]
        else say("The pass mark is {level} %: not reached, so practise again.", level=body["level"]),
    ]
    wrong = {
        "strict": say("{n} good, but judged no rep.", n=body["strict"]),
        "uncalled": say("{n} missed.", n=body["uncalled"]),
        "extra": say("{n} judged where there was no repetition.", n=body["extra"]),
    }
    summary += [words for name, words in wrong.items() if body[name]]
    missed = tuple(say("{fault}: {n} let through.", fault=known(fault), n=count) for fault, count in body["missed"].items())
    reps = tuple(
        CalledRep(n, known(truth) if truth else say("Good"), known(call), right)
        for n, (truth, call, right) in enumerate(body["reps"], start=1)
    )
    move = known(MOVES[body["move"]].name)
    return SetResult(last.judge, name, move, f"{body['percent']} %", _reached(body), tuple(summary), missed, reps)


def _body(result: Agreement, rules: PracticeRules) -> Mapping[str, Any]:
    words = {True: "Good", False: "No rep"}
    return {
        "right": result.right,
        "of": len(result.matched),
        "percent": int(result.percent),  # down: nobody reaches a level by rounding
        "level": rules.level,
        "tolerance_ms": rules.tolerance_ms,
        "passed": result.percent >= rules.level,
        "strict": result.too_strict,
        "uncalled": result.uncalled,
        "extra": result.extra,
        "missed": result.missed_faults(),
        "reps": [[one.rep.fault, words[one.call.good] if one.call else "Missed", one.right] for one in result.matched],
    }


def _whole(typed: Typed, name: str, most: int) -> int:
    text = typed.get(name, "")
    if not re.fullmatch(r"\d{1,10}", text) or int(text) > most:
        raise refuse(name, "The set could not be read. Start a new one.")
    return int(text)


def _calls(text: str) -> list[Call]:
    """`1200g 3400n`: moments in ms, each with g for good or n for no rep."""
    words = text.split()
    if len(words) > MOST_CALLS or not all(re.fullmatch(r"\d{1,8}[gn]", word) for word in words):
        raise BadForm(refuse("calls", "Your decisions could not be read. Judge the set again.").problems)
    return [Call(min(int(word[:-1]), MOST_MS), word.endswith("g")) for word in words]
