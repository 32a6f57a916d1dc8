"""Reads the catalogue of words, static/js/words/en.js, for whoever hands it in: a script that holds nothing but JSON."""

import json

from app.paths import static_dir
from app.rules.values.words import Catalogue

LANGUAGE = "en"


def catalogue(language: str = LANGUAGE) -> Catalogue:
    """The words of a language. Raises FileNotFoundError where this copy of the app has none of it."""
    text = (static_dir() / "js" / "words" / f"{language}.js").read_text(encoding="utf-8")
    return Catalogue(**json.loads(text[text.index("{") : text.rindex("}") + 1]))
