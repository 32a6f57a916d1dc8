"""Rows as CSV by RFC 4180, safe to open in a spreadsheet. Rules only."""

import csv
import io
import re
from collections.abc import Iterable

BOM = "\ufeff"


# A spreadsheet takes a cell that opens like this for a formula, in full-width forms too, and after a quote that it takes for its
# own. Some split a cell at its line breaks, or at semicolons and tabs where these part the columns.
OPENS = r"(?:[^\S\r\n]|[\"\x00\u200b-\u200f\u2060\ufeff])*[=+\-@\uff1d\uff0b\uff0d\uff20]"


FORMULA = re.compile(rf"\A(?={OPENS}|[\t\r\n\x00])|(?<=[\r\n;\t])(?={OPENS})")


NUL = "\x00"


def csv_bytes(lines: Iterable[Iterable[str | int]]) -> bytes:
    """Lines of cells as a file."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows(lines)
    return (BOM + text.getvalue()).encode()


def plain_text(text: str) -> str:
    """Text that no spreadsheet runs: an apostrophe before whatever could begin a formula, on its first line or a later one."""
    return FORMULA.sub("'", text).replace(NUL, "\N{REPLACEMENT CHARACTER}")
