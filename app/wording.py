"""Reads the words of each language: the English catalogue, static/js/words/en.js, a script that holds nothing but JSON, and a
folder of tables for every other one, beside the library."""

import json
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from app.paths import static_dir
from app.rules.values.words import ENGLISH, Catalogue, Word

TABLES = Path(__file__).parent / "library"
FOLDER = "words_"
HEAD = "language.json"  # of a language's folder: what it calls itself, its plurals, its decimal sign


@lru_cache(maxsize=1)
def languages() -> dict[str, str]:
    """What each language calls itself, by its code; English first."""
    others = sorted(TABLES.glob(f"{FOLDER}*/{HEAD}"))
    return {ENGLISH: "English"} | {path.parent.name.removeprefix(FOLDER): str(_read(path)["name"]) for path in others}


@lru_cache(maxsize=8)
def catalogue(language: str = ENGLISH) -> Catalogue:
    """The words of a language; in another than English, English ones beneath. Raises FileNotFoundError where this copy of the app
    has none of it, ValueError where two of its tables have one key."""
    if language == ENGLISH:
        text = (static_dir() / "js" / "words" / "en.js").read_text(encoding="utf-8")
        return Catalogue(**json.loads(text[text.index("{") : text.rindex("}") + 1]))
    folder = TABLES / f"{FOLDER}{language}"
    head = _read(folder / HEAD)
    words: dict[str, Word] = {}
    for path in sorted(folder.glob("*.json")):
        table = {} if path.name == HEAD else _read(path)
        if twice := table.keys() & words.keys():
            raise ValueError(f"{path.name} says again: {', '.join(sorted(twice))}")
        words |= table
    return Catalogue(language, head["plural"], words, catalogue(), head["point"])


def written() -> Iterator[bytes]:
    """All that is written down of languages other than English, for what must change when any of it does."""
    for path in sorted(TABLES.glob(f"{FOLDER}*/*.json")):
        yield path.relative_to(TABLES).as_posix().encode()
        yield path.read_bytes()


def _read(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))
