"""What the rule book is handed when the app is loaded: movements, plates to begin from, a grammar and words. Touches nothing.

Movements, plates and formulas stand with their sources; whole competitions to begin from are texts and numbers, every event a
written workout; the grammar and a table of words for each language are what the reader of written workouts goes by.
"""

import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def tables() -> dict[str, Any]:
    """Every table here as plain values, by the name of its file; a grammar as text. Raises ValueError naming the file that is no
    JSON."""
    grammars = {path.stem: path.read_text(encoding="utf-8") for path in sorted(HERE.glob("*.lark"))}
    return grammars | {path.stem: _read(path) for path in sorted(HERE.glob("*.json"))}


def _read(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except ValueError as wrong:
        raise ValueError(f"{path.name} can't be read: {wrong}") from None
