"""Stamps of time at the beginning of lines: typed from a film, `[00:14] okay so this is the second workout`; of its subtitles; of
messages that were copied from a telephone, `[12.03., 19:42] Jo: amrap 15`."""

import re
from itertools import pairwise

STAMP = re.compile(r"\s*[\[(]?(\d{1,2}):([0-5]\d)(?::([0-5]\d))?[\])]?[\s:-]+(?=\D)")
LEAST_STAMPS = 3
MOST_APART = 60  # seconds from line to line of somebody who speaks


DAY, HOUR = r"\d{1,4}[./-]\d{1,2}(?:[./-]\d{0,4})?,?", r"\d{1,2}[:.][0-5]\d(?:[:.][0-5]\d)?(?:\s*[AaPp][Mm])?"
MESSAGE = re.compile(rf"\s*(?:\[{DAY}\s+{HOUR}\]|{DAY}\s+{HOUR}\s+[-–])\s*[^:\n\d]{{1,30}}:\s")
SUBTITLE = re.compile(r"(?:\s*\d+\s)?\s*\d\d:[0-5]\d:[0-5]\d[,.]\d{3}\s*-+>\s*\d\d:[0-5]\d:[0-5]\d[,.]\d{3}\s*")
TODAY = re.compile(rf"\s*\[{HOUR}\]\s*[A-Z][^\W\d_]*(?: [A-Z][^\W\d_]*)?:\s")  # `[09:14] Tess: …`
LEAST_MESSAGES = 2


def without_stamps(text: str, lines: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The lines without stamps of any of these kinds."""
    shown = [one for one in lines if not SUBTITLE.fullmatch(text, *one)]
    if len(lines) - len(shown) >= LEAST_MESSAGES:
        return [one for one in shown if text[slice(*one)].strip()]
    sent = [MESSAGE.match(text, start, end) or TODAY.match(text, start, end) for start, end in lines]
    if sum(one is not None for one in sent) >= LEAST_MESSAGES:
        return [(one.end() if one else start, end) for one, (start, end) in zip(sent, lines, strict=True)]
    return _without_a_films(text, lines)


def _without_a_films(text: str, lines: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The lines without their stamps, where these are of somebody who speaks."""
    found = [(place, STAMP.match(text, start, end)) for place, (start, end) in enumerate(lines)]
    told = [(place, stamp) for place, stamp in found if stamp and text[lines[place][0] :].lstrip()[:1] in "[("]
    seconds = [_seconds(stamp) for _, stamp in told]
    spoken = sum(1 for start, end in lines if text[start:end].strip())
    grows = all(0 <= after - before < MOST_APART for before, after in pairwise(seconds))
    if len(told) < LEAST_STAMPS or 2 * len(told) < spoken or not grows:
        return lines
    ends = {place: stamp.end() for place, stamp in told}
    return [(ends.get(place, start), end) for place, (start, end) in enumerate(lines)]


def _seconds(stamp: re.Match[str]) -> int:
    first, second, third = int(stamp[1]), int(stamp[2]), stamp[3]
    return first * 60 + second if third is None else first * 3600 + second * 60 + int(third)
