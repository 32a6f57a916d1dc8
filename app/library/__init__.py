"""What the rule book is handed when the app is loaded, with its sources: movements, and plates to begin from. Touches nothing."""

import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def tables() -> dict[str, Any]:
    """Every table here as plain values, by the name of its file. Raises ValueError naming the file that is no JSON."""
    return {path.stem: _read(path) for path in sorted(HERE.glob("*.json"))}


def _read(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except ValueError as wrong:
        raise ValueError(f"{path.name} can't be read: {wrong}") from None
