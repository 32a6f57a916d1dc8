"""The order of names in lists."""

import random

from app.rules.values.alphabet import by_name

IN_ORDER = (
    *("Åke", "Al Bo", "Albo", "Anna", "Änne", "Ćiro", "Eda", "eda", "Éda", "Edda", "Éva", "Ewa", "Łucja", "Lukas", "Nora"),
    *("Ñora", "O'Neil", "Oakes", "Øyvind", "Özlem", "Strasser", "Straßer", "Strauß", "Żaneta", "Zed", "Zora", "Ждан", "李"),
)


def test_a_name_stands_by_its_letters_whatever_their_signs_and_size() -> None:
    for seed in range(20):
        assert sorted(random.Random(seed).sample(IN_ORDER, len(IN_ORDER)), key=by_name) == list(IN_ORDER)
