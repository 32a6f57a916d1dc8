"""The line of a written workout that says which divisions it is for: `Divisions: Men, Women`, read and written."""

from collections.abc import Collection, Sequence

MARK, OTHER_MARK = ",", ";"  # between names; the other one where a name has a comma of its own


def divisions_in(line: str, labels: Collection[str]) -> tuple[str, ...]:
    """The names that a line says after one of the labels and a colon; none for a line about something else."""
    label, colon, names = line.partition(":")
    if not colon or label.strip().casefold() not in labels:
        return ()
    found = [name.strip() for name in names.split(OTHER_MARK if OTHER_MARK in names else MARK)]
    return tuple(dict.fromkeys(name for name in found if name))


def divisions_line(names: Sequence[str], labels: Sequence[str]) -> str:
    """The line that says these names, under the first of the labels."""
    commas = any(MARK in name for name in names)
    said = f"{OTHER_MARK if commas else MARK} ".join(names)
    return f"{labels[0].capitalize()}: {said}{OTHER_MARK if commas and len(names) == 1 else ''}"
