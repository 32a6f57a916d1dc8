"""What the rule book is handed when the app is loaded: movements, plates to begin from, a grammar and words. Touches nothing.

Movements, plates and formulas stand with their sources; whole competitions to begin from are texts and numbers, every event a
written workout; the grammar and a table of words for each language are what the reader of written workouts goes by.
"""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


class Tables(Mapping[str, Any]):
    """Every table here as plain values, by the name of its file; a grammar as text. Each is read when it is asked for: one that
    the day has no use for takes no time and no room. Raises ValueError naming the file that is no JSON."""

    def __init__(self) -> None:
        self._files = {path.stem: path for kind in ("*.lark", "*.json") for path in sorted(HERE.glob(kind))}

    def __getitem__(self, name: str) -> Any:
        path = self._files[name]
        return _read(path) if path.suffix == ".json" else path.read_text(encoding="utf-8")

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


def _read(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except ValueError as wrong:
        raise ValueError(f"{path.name} can't be read: {wrong}") from None
