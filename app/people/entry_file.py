"""A list of entries as any spreadsheet writes it: from bytes to text to rows of cells (RFC 4180, and what is usual beside it)."""

import csv
import io
import re
from dataclasses import dataclass

from app.hall.forms import Problem, refuse
from app.rules.values.texts import cleaned

MOST_BYTES = 400 * 1024
MOST_ROWS = 2000
MOST_COLUMNS = 60
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright line"}
ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "windows-1252": "Windows-1252 (western)",
    "windows-1250": "Windows-1250 (central European)",
    "mac-roman": "Mac Roman",
}
SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
EXCEL_SAYS = re.compile(r"sep=(.)\r?\n?", re.I)  # a first line by which some spreadsheets name the separator
GUESSED_BY = 40  # rows looked at to find the separator


@dataclass(frozen=True, slots=True)
class FileText:
    """A file's text, and by which encoding it was read; `guessed` when nothing in the file says so."""

    text: str
    encoding: str
    guessed: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One row as a spreadsheet numbers it, 1 first, with its cells."""

    number: int
    cells: tuple[str, ...]


def decoded(data: bytes, wanted: str = "") -> FileText:
    """A file as text: by the encoding that is wanted, the one that its first bytes name, or a guess. Raises BadForm."""
    if not data:
        raise refuse("file", "No file arrived, or it is empty. Choose a CSV file and send it again.")
    if len(data) > MOST_BYTES:
        raise refuse("file", f"The file has {len(data) // 1024} kB; at most {MOST_BYTES // 1024} kB can be read at once.")
    if data.startswith(SPREADSHEETS):
        raise refuse("file", "That is the spreadsheet itself. Save it as CSV (“Save as”, “CSV UTF-8”) and choose that file.")
    if wanted in ENCODINGS:
        return FileText(_read(data, wanted), wanted, False)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return FileText(_read(data, "utf-16"), "utf-16", False)
    if data.startswith(b"\xef\xbb\xbf"):
        return FileText(_read(data, "utf-8"), "utf-8", False)
    half = len(data) // 2
    for place, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if half and data[place::2].count(0) > half * 0.6:
            return FileText(_read(data, encoding), "utf-16", True)
    try:
        return FileText(data.decode("utf-8"), "utf-8", True)
    except UnicodeDecodeError:
        return FileText(_read(data, "windows-1252"), "windows-1252", True)


def _read(data: bytes, encoding: str) -> str:
    python = {"utf-8": "utf-8-sig", "windows-1252": "cp1252", "windows-1250": "cp1250", "mac-roman": "mac_roman"}
    try:
        return data.decode(python.get(encoding, encoding)).lstrip("\ufeff")
    except UnicodeDecodeError:
        name = ENCODINGS.get(encoding, "UTF-16")
        raise refuse("file", f"The file can't be read as {name}. Save it as “CSV UTF-8” and choose it again.") from None


def guessed_separator(text: str) -> str:
    """The separator that splits the first rows into the most columns alike; a comma when none does."""
    named = EXCEL_SAYS.match(text)
    if named and named[1] in SEPARATORS:
        return named[1]
    best, most = ",", (0.0, 0)
    for separator in SEPARATORS:
        widths = [len(cells) for cells in _first_cells(text, separator) if any(cells)]
        usual = max(set(widths), key=widths.count) if widths else 1
        worth = (widths.count(usual) / len(widths), usual) if usual > 1 else (0.0, 0)
        best, most = (separator, worth) if worth > most else (best, most)
    return best


def _first_cells(text: str, separator: str) -> list[list[str]]:
    found: list[list[str]] = []
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            found.append(cells)
            if len(found) == GUESSED_BY:
                break
    except csv.Error:
        return []
    return found


def rows_of(text: str, separator: str) -> list[Row]:
    """The rows that are not empty, each with its number. A quoted cell may hold separators and line breaks.

    Raises BadForm for a quote that does not end, and for more rows or columns than can be read at once.
    """
    named = EXCEL_SAYS.match(text)
    skipped = 1 if named else 0
    reader = csv.reader(io.StringIO(text[named.end() :] if named else text, newline=""), delimiter=separator, strict=True)
    rows: list[Row] = []
    number = skipped
    try:
        for number, cells in enumerate(reader, 1 + skipped):
            if any(cell.strip() for cell in cells):
                rows.append(Row(number, tuple(cells)))
            _check_size(rows)
    except csv.Error as broken:
        why = 'a cell starts with a quote (") that does not end before the next separator. Fix it there.'
        if "larger" in str(broken):
            why = 'a cell is too long. Is a quote (") left open?'
        raise refuse("text", f"Row {number + 1}: {why}") from None
    return rows


def _check_size(rows: list[Row]) -> None:
    if len(rows) > MOST_ROWS + 1:
        raise refuse("text", f"The list has more than {MOST_ROWS} rows. Import it in parts.")
    if rows and len(rows[-1].cells) > MOST_COLUMNS:
        raise refuse("text", f"Row {rows[-1].number} has {len(rows[-1].cells)} columns; at most {MOST_COLUMNS} can be read.")


def tidy(cell: str) -> str:
    """A cell as it is meant: composed letters, one blank between words, no line breaks, no marks that nobody sees."""
    return re.sub(r"[ \u00a0]+", " ", cleaned(cell)).strip(" ")


def column_letter(index: int) -> str:
    """A column as spreadsheets call it: 0 is A, 26 is AA."""
    return column_letter(index // 26 - 1) + chr(65 + index % 26) if index >= 26 else chr(65 + index)


def at_cell(row: int, column: int, heading: str, sentence: str) -> Problem:
    """A problem of one cell, in the words of the spreadsheet."""
    where = f"{column_letter(column)}{row}" + (f" ({heading})" if heading else "")
    return Problem("text", f"{where}: {sentence}")
