"""What a bench finds out: figures, some with a goal; as a table for people and as JSON for the next run to be compared with."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal


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


def percentile(values: Sequence[float], percent: float) -> float:
    """The value that so many percent of the values do not exceed, without interpolation."""
    if not values:
        raise ValueError("Nothing was measured.")
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * percent / 100))]


def table(figures: Sequence[Figure], before: dict[str, float]) -> str:
    """The figures as lines of text: measure, value, goal, met or not, and the value as a multiple of the last saved run's."""
    rows = [("measure", "value", "goal", "met", "last x"), *(_row(figure, before) for figure in figures)]
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    lines = [f"{r[0]:<{widths[0]}}  {r[1]:>{widths[1]}}  {r[2]:<{widths[2]}}  {r[3]:<{widths[3]}}  {r[4]}".rstrip() for r in rows]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def _row(figure: Figure, before: dict[str, float]) -> tuple[str, str, str, str, str]:
    goal = "" if figure.goal is None else f"{figure.goal.side} {_number(figure.goal.limit)} {figure.unit}".rstrip()
    met = {True: "met", False: "MISSED", None: ""}[figure.met]
    last = before.get(figure.key)
    return (
        figure.measure,
        f"{_number(figure.value)} {figure.unit}".rstrip(),
        goal,
        met,
        f"{figure.value / last:.2f}" if last else "",
    )


def _number(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def save(folder: Path, name: str, figures: Sequence[Figure], circumstances: dict[str, Any]) -> Path:
    """Writes one run down."""
    folder.mkdir(exist_ok=True)
    file = folder / f"{name}.json"
    run = {**circumstances, "figures": [figure.plain() for figure in figures]}
    file.write_text(json.dumps(run, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    return file


def last_values(folder: Path) -> dict[str, float]:
    """What was measured before, by key: of each figure the newest that was saved, for a run may measure only some."""
    values: dict[str, float] = {}
    for file in sorted(folder.glob("*.json")):
        try:
            run = json.loads(file.read_text(encoding="utf-8"))
            values.update({figure["key"]: float(figure["value"]) for figure in run["figures"]})
        except (OSError, ValueError, KeyError, TypeError):
            continue  # a file that somebody else put there, or half of one
    return values
