"""What everybody must find at once when somebody is hurt: where the AED hangs, whom to ring, who the medic is.

The screens and sheets that show it replace nobody: the venue's emergency plan, local codes and licensed medical staff come first.
"""

from typing import Annotated

from pydantic import Field

from app.rules.values.shapes import Base, Said

Fact = Annotated[Said, Field(max_length=200)]

PLAN_FIRST = "The venue's emergency plan, local codes and licensed medical staff come first."


class Safety(Base):
    """The safety facts of a competition, as texts for people; empty where nobody has said."""

    aed: Fact = ""
    aed_route: Fact = ""
    emergency: Fact = ""
    medic: Fact = ""
    first_aid: Fact = ""


# Field, what it is called on a brief, what is missing without it.
FACTS: tuple[tuple[str, str, str], ...] = (
    ("emergency", "Emergency number", "the emergency number"),
    ("medic", "Medic", "the medic's name"),
    ("aed", "AED", "where the AED is"),
    ("aed_route", "Way to the AED", "the way to the AED"),
    ("first_aid", "First aid", "where first aid is"),
)


def facts(safety: Safety) -> tuple[tuple[str, str], ...]:
    """Each fact by its name, in the order in which it is needed; an empty text where nobody has said."""
    return tuple((label, getattr(safety, field)) for field, label, _ in FACTS)


def missing(safety: Safety) -> tuple[str, ...]:
    """What nobody has said yet, as it stands in a sentence."""
    return tuple(words for field, _, words in FACTS if not getattr(safety, field))
