"""How long it takes to prove that nobody changed a competition file."""

import time
from collections.abc import Callable
from dataclasses import replace

from app.rules.records.document import CompetitionFile
from app.rules.result.sealing import seal_faults, sealed
from tests.bench.figures import Figure, Goal
from tests.builders.pairs import a_file

MARKS = 10_000
WITHIN_S = Goal("at most", 0.5)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Seals a file of ten thousand marks and checks the seal."""
    tell(f"proof: a seal over {MARKS:,} marks")
    file = _file()
    begun = time.perf_counter()
    whole = sealed(file)
    made = time.perf_counter()
    if seal_faults(whole):
        raise RuntimeError("A seal that was just made does not hold.")
    checked = time.perf_counter()
    return [
        Figure("proof.seal_s", f"sealing a file of {MARKS:,} marks", made - begun, "s"),
        Figure("proof.check_s", "… and checking that its seal holds", checked - made, "s", WITHIN_S),
    ]


def _file() -> CompetitionFile:
    """A real file's marks, over and over, each time as later ones of the same tablets."""
    file = a_file((("Chalk Lines", "Iron Larks"), ("Slow Burn", "Low Tide")), done=((60, 300, 300), (61, 200, 250)))
    rounds = MARKS // len(file.marks) + 1
    many = [(turn * len(file.marks) + place + 1, mark) for turn in range(rounds) for place, mark in enumerate(file.marks)]
    marks = tuple(replace(mark, id=f"{number:032x}", seq=number) for number, mark in many[:MARKS])
    return file.model_copy(update={"marks": marks})
