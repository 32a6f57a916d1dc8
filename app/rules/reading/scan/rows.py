"""Rows of numbers with some left out: `1-2-3-…-8`."""

from itertools import pairwise

MOST_FILLED = 100


def filled(first: list[str], last: list[str]) -> list[str]:
    """The row with what is left out; nothing where the steps are not even, or do not come there."""
    numbers = [int(value) if value.isdigit() else 0 for value in [*first, *last]]
    steps = {after - before for before, after in pairwise(numbers[: len(first)])}
    step = steps.pop() if len(steps) == 1 else 0
    if len(last) != 1 or not all(numbers) or not step or (numbers[-1] - numbers[0]) % step or numbers[-1] > MOST_FILLED:
        return []
    every = range(numbers[0], numbers[-1] + (1 if step > 0 else -1), step)
    return [str(number) for number in every] if len(every) > len(first) else []
