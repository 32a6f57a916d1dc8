"""Numbers in words (`twenty one`, `a hundred`, `one and a half`), and rows with some left out (`1-2-3-…-8`)."""

from collections.abc import Mapping
from itertools import pairwise

MOST_WORDS_OF_NUMBER = 9
MOST_FILLED = 100
HALF = ["and", "a", "half"]
# A part of a minute or an hour, which is the unit behind it; `a minute` is one.
PARTS = {
    ("three", "quarters", "of", "an"): "0.75",
    ("three", "quarters", "of", "a"): "0.75",
    ("a", "quarter", "of", "an"): "0.25",
    ("quarter", "of", "an"): "0.25",
    ("half", "an"): "0.5",
    ("half", "a"): "0.5",
}
LENGTHS = {"minute", "hour", "second"}
HUNDRED, THOUSAND = 100, 1000


def number_in_words(words: list[str], numbers: Mapping[str, int]) -> tuple[str, int] | None:
    """The number that begins here, as a plain decimal, and how many words it has; None where none begins."""
    part = next((part for part in PARTS if words[: len(part)] == list(part)), None)
    if part and _word(words, len(part)) in LENGTHS:
        return PARTS[part], len(part)
    if words[:1] in (["a"], ["an"], ["another"]) and _word(words, 1) in LENGTHS:
        return "1", 1
    value, length = _below(words, numbers, HUNDRED)
    if not length:
        return None
    for size in (HUNDRED, THOUSAND):
        if 0 < value < size and numbers.get(_word(words, length)) == size:
            value, length = value * size, length + 1
            joined = length + (_word(words, length) == "and")
            more, further = _below(words[joined:], numbers, size)
            if further and more < size:
                value, length = value + more, joined + further
    if words[length : length + 3] == HALF:
        return f"{value}.5", length + 3
    return str(value), length


def _word(words: list[str], at: int) -> str:
    return words[at] if at < len(words) else ""


def _below(words: list[str], numbers: Mapping[str, int], size: int) -> tuple[int, int]:
    """A number below a hundred, or with hundreds in it below a thousand; no words where there is none."""
    first = numbers.get(_word(words, 0), -1)
    if first < 0:
        return 0, 0
    value, length = first, 1
    units = numbers.get(_word(words, 1), 0)
    if 20 <= first < HUNDRED and 0 < units < 10:
        value, length = first + units, 2
    if size > HUNDRED and 0 < value < HUNDRED and numbers.get(_word(words, length)) == HUNDRED:
        joined = length + 1 + (_word(words, length + 1) == "and")
        more, further = _below(words[joined:], numbers, HUNDRED)
        return (value * HUNDRED + more, joined + further) if further else (value * HUNDRED, length + 1)
    return value, length


def filled(first: list[str], last: list[str]) -> list[str]:
    """The row with what is left out; nothing where the steps are not even, or do not come there."""
    numbers = [int(value) if value.isdigit() else 0 for value in [*first, *last]]
    steps = {after - before for before, after in pairwise(numbers[: len(first)])}
    step = steps.pop() if len(steps) == 1 else 0
    if len(last) != 1 or not all(numbers) or not step or (numbers[-1] - numbers[0]) % step or numbers[-1] > MOST_FILLED:
        return []
    every = range(numbers[0], numbers[-1] + (1 if step > 0 else -1), step)
    return [str(number) for number in every] if len(every) > len(first) else []
