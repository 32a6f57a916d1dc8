"""Sets of plates to begin from. Weights and colours follow the published standards that are named; the number of pieces is what a
platform needs, and every number can be changed at the desk."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.rules.values.units import Load, LoadUnit
from app.rules.workout.plates import Colour, Plate, PlateSet

# Weight of one piece, pieces, millimetres across and thick, colour.
Row = tuple[str, int, int, str, Colour | None]

# IWF Technical and Competition Rules & Regulations, 3.3: discs of 10 kg and more are 450 mm across; their colours.
# How thick they are, and across below 10 kg, is common practice, no source.
WEIGHTLIFTING: tuple[Row, ...] = (
    ("25", 8, 450, "62", "red"),
    ("20", 2, 450, "51", "blue"),
    ("15", 2, 450, "40", "yellow"),
    ("10", 2, 450, "30", "green"),
    ("5", 2, 230, "26", "white"),
    ("2.5", 2, 210, "19", "red"),
    ("2", 2, 190, "19", "blue"),
    ("1.5", 2, 175, "18", "yellow"),
    ("1", 2, 160, "15", "green"),
    ("0.5", 2, 135, "13", "white"),
)
# IPF Technical Rules Book, "Discs": the weights; 25 red, 20 blue, 15 yellow, 10 and less any colour; at most 450 mm across, 60 mm
# thick from 20 kg and 30 mm up to 15 kg. The other measures are common practice, no source.
POWERLIFTING: tuple[Row, ...] = (
    ("25", 14, 450, "27", "red"),
    ("20", 2, 450, "23", "blue"),
    ("15", 2, 400, "21", "yellow"),
    ("10", 2, 325, "21", None),
    ("5", 2, 228, "21", None),
    ("2.5", 2, 190, "16", None),
    ("1.25", 2, 160, "12", None),
    ("0.5", 4, 134, "8", None),
    ("0.25", 2, 112, "6", None),
)
# Common practice, no source: what stands in a gym, told by size and number.
GYM_POUNDS: tuple[Row, ...] = (
    ("45", 10, 450, "58", None),
    ("35", 2, 450, "48", None),
    ("25", 4, 450, "40", None),
    ("15", 2, 450, "32", None),
    ("10", 4, 450, "28", None),
    ("5", 4, 200, "24", None),
    ("2.5", 4, 160, "20", None),
    ("1", 4, 110, "14", None),
    ("0.5", 2, 90, "10", None),
)
GYM_KILOGRAMS: tuple[Row, ...] = (
    ("25", 4, 450, "64", None),
    ("20", 6, 450, "54", None),
    ("15", 2, 450, "44", None),
    ("10", 4, 450, "34", None),
    ("5", 4, 230, "26", None),
    ("2.5", 4, 200, "20", None),
    ("1.25", 2, 160, "16", None),
    ("1", 4, 120, "14", None),
    ("0.5", 2, 100, "10", None),
)


@dataclass(frozen=True, slots=True)
class SetToBegin:
    """A set as it is offered: a key, its name, what it is in a line."""

    key: str
    name: str
    words: str
    rows: tuple[Row, ...]
    unit: LoadUnit
    bars: tuple[str, ...]
    collars: str | None = None
    standard: str = ""


OFFERED: tuple[SetToBegin, ...] = (
    SetToBegin(
        "gym-lb",
        "Gym plates, pounds",
        "45 lb bar, plates down to half a pound; told by number and size.",
        GYM_POUNDS,
        "lb",
        ("45", "35"),
    ),
    SetToBegin(
        "gym-kg", "Gym plates, kilograms", "20 and 15 kg bars, plates down to half a kilogram.", GYM_KILOGRAMS, "kg", ("20", "15")
    ),
    SetToBegin(
        "weightlifting",
        "Weightlifting discs",
        "20 and 15 kg bars, collars of 2.5 kg each, discs in the colours of weightlifting.",
        WEIGHTLIFTING,
        "kg",
        ("20", "15"),
        "5",
        "the international weightlifting rules",
    ),
    SetToBegin(
        "powerlifting",
        "Powerlifting discs",
        "20 kg bar, collars of 2.5 kg each, discs in the colours of powerlifting.",
        POWERLIFTING,
        "kg",
        ("20",),
        "5",
        "the international powerlifting rules",
    ),
)


def set_to_begin(key: str, id: str, name: str = "") -> PlateSet | None:
    """A set to begin from, under an id and, if it shall have another than its own, a name; None for an unknown key."""
    offered = next((one for one in OFFERED if one.key == key), None)
    if offered is None:
        return None
    return PlateSet(
        id=id,
        name=name or offered.name,
        bars=tuple(Load(amount, offered.unit) for amount in offered.bars),
        collars=Load(offered.collars, offered.unit) if offered.collars else None,
        plates=_plates(offered.rows, offered.unit),
        standard=offered.standard,
    )


def _plates(rows: Sequence[Row], unit: LoadUnit) -> tuple[Plate, ...]:
    return tuple(
        Plate.model_validate(
            {"weight": Load(weight, unit), "count": count, "across_mm": across, "thick_mm": thick, "colour": colour}
        )
        for weight, count, across, thick, colour in rows
    )
