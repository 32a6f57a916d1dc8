"""`python -m tests.bench [NAME …]`: runs the benches, prints one table, and compares with the last saved run."""

import argparse
import datetime
import os
import platform
import sys
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from app.paths import CHECKOUT
from tests.bench import (
    attack,
    board,
    busy,
    comparing,
    day,
    faults,
    folding,
    fuzz,
    ingest,
    pages,
    planning,
    proof,
    standings,
    stick,
    touch,
    weight,
)
from tests.bench.browser import NoBrowser
from tests.bench.desk import pasting
from tests.bench.figures import SHOWN, Figure, drawn, history, save, saved_runs, table
from tests.bench.in_turns import NoRevision, in_turns
from tests.bench.large import deadline, gyms, million, postgres, rounds
from tests.bench.platform import bar_plan, browsers, meet
from tests.bench.spectators import phones, processes

Tell = Callable[[str], None]
BENCHES: dict[str, Callable[[Tell], list[Figure]]] = {
    "weight": weight.run,
    "pages": pages.run,
    "pasting": pasting.run,
    "ingest": ingest.run,
    "touch": touch.run,
    "loading": bar_plan.run,
    "board": board.run,
    "busy": busy.run,
    "phones": phones.run,
    "folding": folding.run,
    "standings": standings.run,
    "comparing": comparing.run,
    "day": day.run,
    "meet": meet.run,
    "faults": faults.run,
    "fuzz": fuzz.run,
    "planning": planning.run,
    "proof": proof.run,
    "postgres": postgres.run,
    "processes": processes.run,
    "attack": attack.run,
    "stick": stick.run,
    "million": million.run,
    "gyms": gyms.run,
    "deadline": deadline.run,
    "rounds": rounds.run,
}
# Those that take minutes, in a minute: fewer rounds, the beginning of the day.
QUICK: dict[str, Callable[[Tell], list[Figure]]] = {
    "day": partial(day.run, quick=True),
    "deadline": partial(deadline.run, quick=True),
    "ingest": partial(ingest.run, quick=True),
}
# Those that are done before real browsers as well, with every touch on glass.
BROWSERS: dict[str, Callable[[Tell], list[Figure]]] = {"meet": browsers.run}
RESULTS = CHECKOUT / "bench-results"
BUSY = 0.5  # load for each core above which the machine has other things to do


def main(arguments: Sequence[str]) -> int:
    """Runs the benches that are named, or all; 0 also when a goal is missed, 1 when something could not be measured."""
    asked = argparse.ArgumentParser(prog="python3 -m app bench", description="Measure what the project promises.")
    asked.add_argument("names", nargs="*", metavar="NAME", help=f"which: {', '.join(BENCHES)}; none: all of them")
    asked.add_argument("--quick", action="store_true", help=f"{' and '.join(QUICK)}: a minute instead of eight or three")
    asked.add_argument("--browsers", action="store_true", help=f"{', '.join(BROWSERS)}: before real browsers, half an hour")
    asked.add_argument("--against", metavar="REV", help="another revision measured in turns with this one, in one run")
    wanted = asked.parse_args(arguments)
    names = wanted.names or list(BENCHES)
    if unknown := [name for name in names if name not in BENCHES]:
        asked.error(f"There is no bench {unknown[0]}. There are {', '.join(BENCHES)}.")
    begun = _load()
    if begun is not None and begun > BUSY * _cores():
        _tell(f"This machine is busy: its load is {begun:.1f} on {_cores()} cores. Figures are better on a quiet one.")
    if wanted.against:
        return _in_turns(wanted.against, names, wanted.quick)
    instead = (QUICK if wanted.quick else {}) | (BROWSERS if wanted.browsers else {})
    figures, left_out = _measure(names, BENCHES | instead)
    _show(figures, begun)
    return 1 if left_out else 0


def _in_turns(revision: str, names: Sequence[str], quick: bool) -> int:
    try:
        print(in_turns(CHECKOUT, revision, [*names, *(["--quick"] if quick else [])], RESULTS.name, _tell))
    except NoRevision as wrong:
        _tell(str(wrong))
        return 1
    return 0


def _measure(names: Sequence[str], benches: Mapping[str, Callable[[Tell], list[Figure]]]) -> tuple[list[Figure], list[str]]:
    figures: list[Figure] = []
    left_out = []
    for name in dict.fromkeys(names):
        try:
            figures += benches[name](_tell)
        except NoBrowser as missing:
            _tell(f"{name}: left out. {missing}")
            left_out.append(name)
    return figures, left_out


def _show(figures: Sequence[Figure], begun: float | None) -> None:
    if not figures:
        return
    runs = saved_runs(RESULTS)
    print(f"\n{table(figures, history(runs))}\n")
    loads = [run.load for run in runs if run.load is not None][1 - SHOWN :] + ([] if begun is None else [begun])
    if len(loads) > 1:
        print(f"The machine's load in the last {len(loads)} runs, the highest {max(loads):.1f}: {drawn(loads)}")
    promised = [figure for figure in figures if figure.goal is not None]
    missed = [figure for figure in promised if not figure.met]
    print(f"{len(promised) - len(missed)} of {len(promised)} goals met." + "".join(f"\nMissed: {f.key}" for f in missed))
    now = datetime.datetime.now(datetime.UTC)
    circumstances = {
        "at": now.isoformat(timespec="seconds"),
        "cores": _cores(),
        "python": platform.python_version(),
        "system": platform.platform(),
        "load_before": begun,
        "load_after": _load(),
    }
    file = save(RESULTS, now.strftime("%Y-%m-%dT%H-%M-%SZ"), figures, circumstances)
    print(f"Load {begun} before, {_load()} after, on {_cores()} cores. Saved in {file.relative_to(CHECKOUT)}.")


def _load() -> float | None:
    """The machine's load over the last minute, where it is told."""
    return round(os.getloadavg()[0], 2) if hasattr(os, "getloadavg") else None


def _cores() -> int:
    return os.cpu_count() or 1


def _tell(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
