"""Names of movements as people write them: `Pull-ups`, `pull up` and `PULLUPS` are the same."""

import re
import unicodedata
from functools import lru_cache

MOST_KEY = 40
PLURALS = (("ches", "ch"), ("shes", "sh"), ("sses", "ss"), ("xes", "x"), ("ies", "y"))


@lru_cache(maxsize=2048)
def same_name(name: str) -> str:
    """A name so that `Pull-ups`, `pull up` and `PULLUPS` are the same."""
    return "".join(_singular(word) for word in words_of(name))


@lru_cache(maxsize=2048)
def words_of(name: str) -> tuple[str, ...]:
    """The words of a name in small letters: `C&J` is `c`, `and`, `j`. Remembered: while a text is read the same names are asked
    about again and again."""
    flat = unicodedata.normalize("NFKC", name).casefold().replace("'", "").replace("’", "")
    return tuple("and" if word in "&+" else word for word in re.findall(r"[^\W_]+|[&+]", flat))


def _singular(word: str) -> str:
    for ending, one in PLURALS:
        if word.endswith(ending):
            return word.removesuffix(ending) + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word


def key_of(name: str) -> str:
    """A key for a new movement: its name in plain small letters."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:MOST_KEY].strip("_") or "movement"
