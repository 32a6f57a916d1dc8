"""An event of two heats on which everything happens by chance: marks, runs, rulings and what takes them back, sign-offs."""

import random
from collections.abc import Callable, Sequence
from typing import Any

from app.rules.records.document import CompetitionFile, Ledger, Run, counting_number, counting_run, ledger_id
from app.rules.records.holding import Hold
from app.rules.records.marks import Mark
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.in_the_way import in_the_way
from app.rules.result.results import results
from app.rules.workout.formats import Format, JoinRule
from tests.builders.cast import FORMATS, Sheet, a_competition, parsed
from tests.builders.chance import KINDS, LOADS, mark_of

LANES = {"asg_1": "ent_1", "asg_2": "ent_2", "asg_3": "ent_3", "again": "ent_1"}  # Ana has a lane in the second heat too
HEATS = ("heat", "late")
SECRET = "ab" * 32
SHEETS = ("lane", "lane", "lane", "second", "paper", "video")


class RuledHeat:
    """The event as it stands: `file`, grown by `happens`."""

    def __init__(self, dice: random.Random) -> None:
        self._dice, self._sheets, self._count = dice, dict[str, Sheet](), 0
        plain = a_competition(_any_format(dice), {"Open": ["Ana", "Bo", "Cy"]}, runs=[]).model_dump(mode="json")
        plain["heats"].append(
            {"id": "late", "event": "evt", "number": 2, "lanes": [{"id": "again", "lane": 1, "entry": "ent_1"}]}
        )
        ledger = Ledger(id=ledger_id(SECRET), secret=SECRET)
        self.file = CompetitionFile.model_validate(plain).model_copy(update={"ledger": ledger})

    @property
    def format(self) -> Format:
        """How it runs and scores."""
        return self.file.events[0].format

    def happens(self) -> Sequence[Mark]:
        """One thing more; the marks that it made."""
        acts: list[Callable[[], None]] = [self._run, self._rule, self._rule, self._take_back, self._sign_off]
        if self._dice.random() < 0.4:
            return self._mark()
        self._count += 1
        self._dice.choice(acts)()
        return ()

    def _mark(self) -> Sequence[Mark]:
        made = parsed(self._one_mark() for _ in range(self._dice.randint(1, 5)))
        self._add("marks", *made)
        return made

    def _one_mark(self) -> dict[str, Any]:
        dice, format = self._dice, self.format
        key = f"{dice.choice(list(LANES))}/{dice.choice((1, 1, 2))}/{dice.choice(SHEETS)}"
        sheet = self._sheets.setdefault(key, Sheet(device=f"tab-{len(self._sheets)}"))
        sheet.sheet = key
        edges = [edge for window in format.windows for edge in (window.start_ms, window.end_ms)]
        at = dice.choice((dice.choice(edges) + dice.randint(-1_100, 1_100), dice.randint(0, format.length_ms)))
        win = dice.choice((None, *range(len(format.windows))))
        return mark_of(sheet, dice.choice(KINDS), at, win, self._some_mark(), dice.choice(LOADS), dice.random() < 0.5)

    def _some_mark(self) -> str:
        return self._dice.choice([mark.id for mark in self.file.marks] or ["0" * 32])

    def _add(self, field: str, *more: object) -> None:
        self.file = self.file.model_copy(update={field: (*getattr(self.file, field), *more)})

    def _run(self) -> None:
        """A heat is given a GO, or what is known of one changes; not of an event that is signed off."""
        if self.file.rulings and self.file.rulings[-1].body.get("state") == "signed":
            return
        dice = self._dice
        held = (Hold(at_ms=dice.randint(0, self.format.length_ms), for_ms=dice.choice((800, 20_000))),)
        state = dice.choice(("set", "closed", "stopped"))
        run = Run(heat=dice.choice(HEATS), number=dice.choice((1, 2)), state=state, holds=held if dice.random() < 0.2 else ())
        runs = {(one.heat, one.number): one for one in (*self.file.runs, run)}
        self.file = self.file.model_copy(update={"runs": tuple(runs.values())})

    def _ruling(self, kind: str, body: dict[str, Any], **about: str) -> None:
        plain = {"id": f"rul_{self._count}", "kind": kind, "body": body, "by": "Ruth", "why": "Seen", "made_wall_ms": self._count}
        self._add("rulings", Ruling.model_validate(plain | about))

    def _rule(self) -> None:
        dice, lane, number = self._dice, self._dice.choice(list(LANES)), self._dice.choice((1, 2))
        window = dice.randrange(len(self.format.windows))
        bodies: dict[str, dict[str, Any]] = {
            "status": {"status": dice.choice(("did_not_finish", "withdrawn", ""))},
            "penalty": {"amount": "0.5"},
            "shift": {"ms": dice.choice((-700, 700, 0)), "run": number},
            "reps": {"add": dice.choice((-2, 3)), "window": window, "run": number},
            "lift": {"mark": self._some_mark(), "good": dice.random() < 0.5},
            "admit": {"marks": [self._some_mark()]},
            "move": {"sheet": f"{dice.choice(list(LANES))}/1/lane"},
            "stand": {"sheet": f"{lane}/{number}/{dice.choice(SHEETS[2:])}"} | ({"windows": [window]} if number == 1 else {}),
            "run": {"run": number},
            "rerun": {"again": "again", "counts": dice.choice(("again", "original"))},
        }
        kind = dice.choice(list(bodies))
        about = {"assignment": "asg_1", "entry": "ent_1", "event": "evt"} if kind == "rerun" else {"assignment": lane}
        self._ruling(kind, bodies[kind], **about)

    def _take_back(self) -> None:
        if self.file.rulings:
            self._ruling("undo", {"ruling": self._dice.choice(self.file.rulings).id})

    def _sign_off(self) -> None:
        """Signed off once every heat was run, with all that stands in the way left out; or opened again."""
        file = self.file
        if any(counting_run(file.runs, heat) is None for heat in HEATS):
            return
        if self._dice.random() < 0.4:
            self._ruling("sign_off", {"state": "open"}, event="evt")
            return
        open_ones = in_the_way(file, file.runs, file.rulings, results(file)[0])
        left_out = [{"key": one.key, "what": one.what, "why": "Went home"} for one in open_ones]
        runs = {heat: counting_number(file.runs, heat) for heat in HEATS}
        body = {"state": "signed", "marks": marks_held(file.marks), "runs": runs, "signer": "desk", "left_out": left_out}
        self._ruling("sign_off", body, event="evt")


def _any_format(dice: random.Random) -> Format:
    """One of the cast's; some with several counters, of lifts some that ask for a good one."""
    format = FORMATS[dice.choice(sorted(FORMATS))]
    if dice.random() < 0.4:
        format = format.model_copy(update={"counters": JoinRule(how=dice.choice(("mean", "closest_two")), recount_beyond=2)})
    asks = format.scores[0].model_copy(update={"every_part": format.scores[0].unit == "kg" and dice.random() < 0.6})
    return format.model_copy(update={"scores": (asks,)})
