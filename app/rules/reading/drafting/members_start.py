"""When each member of an entry begins, told by the clock: `Athlete A starts at 0:00, athlete B at 2:30`, `5:00 athlete 2`."""

import re

# A member by letter or number, and a time of the clock, in either order; between them no more than that it starts there.
MEMBER = (
    r"(?:athlete|member|partner|pupil|player|rower|lifter|person|skier|runner|rider|biker|swimmer|student|teammate)"
    r"\s+(?P<{0}>[a-l]|\d)\b"
)
STARTS = r"[\s:–—-]*(?:(?:starts?|begins?|goes|is on|works|does it)\s+)?(?:at\s+|from\s+)?"
ONE = re.compile(
    MEMBER.format("first") + STARTS + r"(?P<at>\d{1,2}:[0-5]\d)|(?P<when>\d{1,2}:[0-5]\d)[\s:–—-]+" + MEMBER.format("second"),
    re.IGNORECASE,
)
BETWEEN = re.compile(r"[\s,;.&]*(?:and|then)?[\s,;.&]*", re.IGNORECASE)


def members_start(said: str) -> list[tuple[int, int]]:
    """Each member's number and the second of the clock at which it starts; none for a sentence that says anything else."""
    found: list[tuple[int, int]] = []
    at = 0
    for one in ONE.finditer(said):
        if not BETWEEN.fullmatch(said, at, one.start()):
            return []
        who, when = (one["first"], one["at"]) if one["first"] else (one["second"], one["when"])
        minutes, seconds = when.split(":")
        found.append((int(who) if who.isdigit() else ord(who.casefold()) - ord("a") + 1, 60 * int(minutes) + int(seconds)))
        at = one.end()
    return found if BETWEEN.fullmatch(said, at) else []
