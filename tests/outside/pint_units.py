"""The registry of units that pint keeps, by the kind of number that its conversions are exact in."""

import functools
from decimal import Decimal
from fractions import Fraction

import pint


@functools.cache
def units_in(exact: type[Decimal] | type[Fraction]) -> pint.UnitRegistry:
    """Made when a test first asks: whoever only reads the files of tests needs none, and one takes a third of a second."""
    return pint.UnitRegistry(non_int_type=exact)
