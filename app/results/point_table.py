"""A table of points for places, as somebody types it."""

import re
from fractions import Fraction
from itertools import pairwise

from app.hall.forms import Reading
from app.rules.values.units import shown

SEPARATOR = re.compile(r"[\s;,]+")
POINTS = re.compile(r"\d{1,6}(\.\d{1,3})?")


def read_points(read: Reading, field: str, most: int) -> tuple[Fraction, ...]:
    """The table of points: numbers with blanks, commas or line breaks between, the winner's first."""
    said = [text for text in SEPARATOR.split(read.raw(field)) if text]
    wrong = next((text for text in said if not POINTS.fullmatch(text)), None)
    if wrong is not None:
        read.wrong(field, f"The points are numbers separated by commas, such as 100, 95, 90.5; not “{shown(wrong)}”.")
    elif not said:
        read.wrong(field, "The table of points is empty. Type the points of each place, the winner's first.")
    elif len(said) > most:
        read.wrong(field, f"The table of points has {len(said)} places; at most {most} are allowed.")
    else:
        points = [Fraction(text) for text in said]
        for place, (better, worse) in enumerate(pairwise(points), 2):
            if worse > better:
                read.wrong(field, f"Place {place} would be worth more than place {place - 1}. Later places get no more points.")
                break
        return tuple(points)
    return ()
