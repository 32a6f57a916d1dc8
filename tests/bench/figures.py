"""What a bench finds out: figures, some with a goal; as a table for people and as JSON for the next run to be compared with."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

BARS = "▁▂▃▄▅▆▇█"
SHOWN = 16  # runs in a picture


@dataclass(frozen=True, slots=True)
class Goal:
    """A limit that the project promises to keep."""

    side: Literal["at most", "at least"]
    limit: float

    def met_by(self, value: float) -> bool:
        """Whether a measured value keeps it."""
        return value <= self.limit if self.side == "at most" else value >= self.limit


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured number. `key` names it from run to run, `unit` is empty for a ratio."""

    key: str
    measure: str
    value: float
    unit: str = ""
    goal: Goal | None = None

    @property
    def met(self) -> bool | None:
        """Whether the goal is met; None when nothing was promised."""
        return None if self.goal is None else self.goal.met_by(self.value)

    def plain(self) -> dict[str, Any]:
        """The figure as JSON."""
        goal = None if self.goal is None else {"side": self.goal.side, "limit": self.goal.limit}
        return {"key": self.key, "measure": self.measure, "value": self.value, "unit": self.unit, "goal": goal, "met": self.met}


@dataclass(frozen=True, slots=True)
class Run:
    """A saved run: its figures by key, and the machine's load when it began, where that was told."""

    values: Mapping[str, float]
    load: float | None


def percentile(values: Sequence[float], percent: float) -> float:
    """The value that so many percent of the values do not exceed, without interpolation."""
    if not values:
        raise ValueError("Nothing was measured.")
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * percent / 100))]


def table(figures: Sequence[Figure], before: Mapping[str, Sequence[float]]) -> str:
    """The figures as lines of text: measure, value, goal, met or not, the value as a multiple of the last saved run's, and a
    picture of the saved runs and this one, the oldest first. before: what was saved of each figure, by key."""
    rows = [_row(figure, before.get(figure.key, ())) for figure in figures]
    return aligned([("measure", "value", "goal", "met", "last x", "runs"), *rows], right=1)


def aligned(rows: Sequence[Sequence[str]], right: int = -1) -> str:
    """Rows as lines with their columns under each other and a line under the first. right: the column that ends at its right."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(f"{text:{'>' if n == right else '<'}{widths[n]}}" for n, text in enumerate(row)).rstrip() for row in rows]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def _row(figure: Figure, saved: Sequence[float]) -> tuple[str, str, str, str, str, str]:
    goal = "" if figure.goal is None else f"{figure.goal.side} {number(figure.goal.limit)} {figure.unit}".rstrip()
    met = {True: "met", False: "MISSED", None: ""}[figure.met]
    last = saved[-1] if saved else 0
    return (
        figure.measure,
        f"{number(figure.value)} {figure.unit}".rstrip(),
        goal,
        met,
        f"{figure.value / last:.2f}" if last else "",
        drawn([*saved, figure.value][-SHOWN:]) if saved else "",
    )


def drawn(values: Sequence[float]) -> str:
    """Numbers as a row of bars from nothing to the largest of them."""
    top = max(values, default=0)
    return "".join(BARS[min(len(BARS) - 1, int(max(0.0, value) / top * len(BARS)))] if top > 0 else BARS[0] for value in values)


def number(value: float) -> str:
    """A value as it is shown: four digits of it."""
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def save(folder: Path, name: str, figures: Sequence[Figure], circumstances: dict[str, Any]) -> Path:
    """Writes one run down."""
    folder.mkdir(exist_ok=True)
    file = folder / f"{name}.json"
    run = {**circumstances, "figures": [figure.plain() for figure in figures]}
    file.write_text(json.dumps(run, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    return file


def saved_runs(folder: Path) -> list[Run]:
    """The runs that were saved, the oldest first, without a file that somebody else put there and half of one."""
    runs = []
    for file in sorted(folder.glob("*.json")):
        try:
            run = json.loads(file.read_text(encoding="utf-8"))
            values = {str(figure["key"]): float(figure["value"]) for figure in run["figures"]}
            runs.append(Run(values, None if run.get("load_before") is None else float(run["load_before"])))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            continue
    return runs


def history(runs: Sequence[Run]) -> dict[str, list[float]]:
    """What was measured in runs, by key, in their order: a run may measure only some."""
    found: dict[str, list[float]] = {}
    for run in runs:
        for key, value in run.values.items():
            found.setdefault(key, []).append(value)
    return found
