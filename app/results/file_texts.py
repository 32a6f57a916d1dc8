"""The texts of a competition file that is to be stored: as strict as with what people type. A recount takes them as they are."""

from collections.abc import Iterator
from typing import Any

from app.results.competition_file import BadFile
from app.rules.records.document import CompetitionFile
from app.rules.values.texts import unfit


def check_texts(file: CompetitionFile) -> None:
    """Raises BadFile with the place of the first text that may not be stored."""
    plain = file.model_dump(mode="json", exclude={"marks", "seal"})
    marks = (found for number, mark in enumerate(file.marks) for found in _texts(mark.body, f"/marks/{number}/body"))
    for where, text, lines in (*((where, text, False) for where, text in _texts(plain, "")), *((*one, True) for one in marks)):
        if bad := unfit(text, lines):
            raise BadFile(f"At {where}: the text holds {bad}.")


def _texts(value: Any, where: str) -> Iterator[tuple[str, str]]:
    """Every text in a value, with its place as a JSON pointer (RFC 6901)."""
    match value:
        case str():
            yield where, value
        case dict():
            for key, one in value.items():
                yield from _texts(one, f"{where}/{key}")
        case list() | tuple():
            for number, one in enumerate(value):
                yield from _texts(one, f"{where}/{number}")
