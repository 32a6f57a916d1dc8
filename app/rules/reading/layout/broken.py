"""Lines that were broken inside a word, a name, a phrase, a bracket, or between a number and its unit: they are one."""

import re
from collections.abc import Iterator

from app.rules.reading.scan.pieces import BLIND
from app.rules.reading.scan.scanning import Scanner

MOST_JOINED = 500  # characters of lines that are joined
MOST_WORDS_BESIDE = 5  # of a name that is broken over two lines, on each
HYPHENED = re.compile(r"[^\W\d_]-\s*$")
UNITS = {"KG", "LB", "M", "KM", "CM", "CAL", "MIN", "SEC", "YD", "FT"}
CELLS = {"\t", "|"}  # a row of a table is no broken line
MEASURED = UNITS - {"MIN", "SEC", "KG", "LB"}


def joined(text: str, lines: list[tuple[int, int]], scanner: Scanner) -> Iterator[tuple[int, int]]:
    """Lines, those in one that were broken: `13 push`, `ups`."""
    at = 0
    while at < len(lines):
        start, end = lines[at]
        at += 1
        while at < len(lines) and lines[at][1] - start <= MOST_JOINED and _broken(text, (start, end), lines[at], scanner):
            end = lines[at][1]
            at += 1
        yield start, end


def _ends_in_a_name(above: list[str], below: list[str]) -> bool:
    """Whether the second name of two loads stands alone in the next line."""
    names = {*above[-3:-2], *below}
    weighed = above[-4:-3] in (["KG"], ["LB"]) and above[-2:] in (["NUM", "KG"], ["NUM", "LB"])
    return len(below) == 1 and names == {"MEN", "WOMEN"} and weighed


def _broken(text: str, line: tuple[int, int], following: tuple[int, int], scanner: Scanner) -> bool:
    (start, end), (next_start, next_end) = line, following
    above_said, below_said = text[start:end], text[next_start:next_end].strip()
    if not below_said or not above_said.strip() or CELLS & set(above_said.strip() + below_said):
        return False
    if HYPHENED.search(above_said) and below_said[0].islower():
        return True
    if above_said.count("(") == above_said.count(")") + 1 and ")" in below_said and "(" not in below_said.split(")")[0]:
        return True
    above = scanner.pieces(text, start, end)[-MOST_WORDS_BESIDE:]
    below = scanner.pieces(text, next_start, next_end)[:MOST_WORDS_BESIDE]
    if not above or not below or above[-1].kind == "STOP" or not below[0].text[0].isalpha():
        return False
    alone, after = scanner.blind(above), scanner.blind(below)
    if not alone or not after:
        return False
    kinds = [tok.kind for tok in alone]
    if kinds[-1] == "NUM" and after[0].kind in UNITS and [tok.kind for tok in after[1:2]] != ["SLASH"]:
        return True  # `time cap 16`, `minutes`; but not `cap 16`, `M/F`
    if kinds[-2:-1] == ["NUM"] and len(kinds) == 2 and kinds[-1] in MEASURED and [tok.kind for tok in after] == ["MOVE"]:
        return True  # `200 m`, `run`
    if _ends_in_a_name(kinds, [tok.kind for tok in after]):
        return True  # `thrusters 43 kg men 30 kg`, `women`
    if after[0].kind in ("REST", "OFF") and len(after) == 1 and alone[-1].kind in ("SEC", "MIN", "CLOCK"):
        return True
    both = [tok for tok in scanner.blind(above + below) if tok.kind not in BLIND]
    spans = any(tok.start < end and tok.end > next_start for tok in both)
    return spans and (alone[-1].kind in BLIND or after[0].kind in BLIND)
