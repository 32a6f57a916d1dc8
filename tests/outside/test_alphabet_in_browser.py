"""The order of names beside a browser's collator (ECMA-402, which orders by the Unicode Collation Algorithm, UTS #10)."""

import random

from playwright.sync_api import Page

from app.rules.values.alphabet import by_name

# What names in Latin letters are made of. Left out are þ, ı and ŧ: a collator has them as letters of their own, behind z, i and
# t, and they are listed here by th, i and t, as they are typed without their keys.
LETTERS = "aábcčdđðeéèêfgğhħiíjklłmnñoóöøpqrřsšßtuúüvwxyzžåäæœ"
ORDER = "([language, names]) => names.sort(new Intl.Collator(language, { sensitivity: 'base' }).compare)"


def chance_names() -> list[str]:
    chance = random.Random(20)
    short = ["".join(chance.choice(LETTERS) for _ in range(chance.randint(1, 4))) for _ in range(1_500)]
    return sorted({f"{name.capitalize()} {chance.choice(short)}" for name in short})


def test_names_are_listed_as_the_collators_of_both_languages_list_them(scripts: Page) -> None:
    names = chance_names()
    ours = sorted(names, key=by_name)
    for language in ("en", "de"):
        # Names that differ by signs alone are one to it here, and so stay in the order in which they came.
        assert scripts.evaluate(ORDER, [language, ours]) == ours, language
        assert scripts.evaluate(ORDER, [language, sorted(names)]) != sorted(names), "by their code points they are not"
