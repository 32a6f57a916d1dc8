"""A second scorer of counted windows, written from the words of the rules alone: plain JSON in, one number out.

It shares no code with the app. It knows windows of repetitions with their targets, several counters, totals read out, films and
shadows, strike-outs, and rulings that let a sheet stand. Every mark it is given names its window and lies inside it.
"""

from fractions import Fraction
from itertools import pairwise
from typing import Any

Plain = dict[str, Any]
COUNTERS = ("lane", "second", "third")


class _Record:
    """What one sheet says: its repetitions by window, in which windows something stands, somebody judged or signed, and all signs
    of life."""

    def __init__(self, marks: list[Plain], windows: list[Plain]) -> None:
        gone = {mark["body"]["mark"] for mark in marks if mark["kind"] == "strike"}
        reps = [mark for mark in marks if mark["kind"] == "rep" and mark["id"] not in gone]
        self.times = [sorted(mark["at"] for mark in reps if mark["win"] == n) for n in range(len(windows))]
        told = [mark for mark in marks if mark["kind"] != "note"]  # a note changes no number
        self.any = any(mark["kind"] in ("rep", "norep") for mark in marks)
        over = (windows[0]["start"] + windows[0]["seconds"]) * 1000 if windows else 0
        signs = any(mark["kind"] == "sign" and mark["at"] >= over for mark in marks)
        judged = [mark for mark in marks if mark["kind"] in ("rep", "norep") and mark["id"] not in gone]
        self.stands = bool(judged) or signs
        self.holds = [any(mark["win"] == n for mark in judged) for n in range(len(windows))]
        self.life = sorted({mark["at"] for mark in told if mark["kind"] != "sign"})
        self.worked, self.seen = [], []
        for n, window in enumerate(windows):
            end = (window["start"] + window["seconds"]) * 1000
            self.worked.append(any(mark["win"] == n for mark in told))
            self.seen.append(self.worked[n] or any(mark["kind"] == "sign" and mark["at"] >= end for mark in marks))


def total(event: Plain, marks: list[Plain], rulings: list[Plain]) -> Fraction | None:
    """The sum over all windows, or None where nothing was judged. `rulings` are those that let a sheet stand, oldest first."""
    windows = event["windows"]
    by_kind: dict[str, list[Plain]] = {}
    for mark in marks:
        by_kind.setdefault(mark["sheet"].split("/")[2], []).append(mark)
    records = {kind: _Record(own, windows) for kind, own in by_kind.items()}
    there = {kind: record for kind, record in records.items() if kind != "paper" or record.stands}
    ruled = _ruled(rulings, records, len(windows))
    rule = event["counters"]["how"]
    only_lane = any("windows" not in r["body"] and r["body"]["sheet"].endswith("lane") for r in rulings[_newest_whole(rulings) :])
    held = {kind: record for kind, record in there.items() if not only_lane or kind == "lane"}
    usual = ("lane", "paper") if rule == "lane" else ("lane", "paper", "second", "third")
    asked = [held[kind] for kind in usual if kind in held] + [records[kind] for kind in ruled.values()]
    if not any(record.any for record in asked):
        return None
    if not ruled and not any(record.stands for record in asked):
        return None  # all that was judged was taken back: of a heat that runs on nothing is said yet
    score, nth, out = Fraction(0), 0, False
    task = event["tasks"]["work"]
    for n in range(len(windows)):
        got = Fraction(len(records[ruled[n]].times[n])) if n in ruled else _counted(event, held, n, windows[n])
        target = None if task["target"] is None else task["target"] + nth * task["grows"]
        nth += 1
        if out:
            continue
        score += got if target is None else min(got, Fraction(target))
        out = bool(task["miss_puts_out"]) and target is not None and got < target
    return score


def _newest_whole(rulings: list[Plain]) -> int:
    whole = [i for i, ruling in enumerate(rulings) if "windows" not in ruling["body"]]
    return whole[-1] if whole else len(rulings)


def _ruled(rulings: list[Plain], records: dict[str, _Record], windows: int) -> dict[int, str]:
    """Whose sheet stands in which window by ruling."""
    stands: dict[int, str] = {}
    for ruling in rulings:
        kind = ruling["body"]["sheet"].split("/")[2]
        if kind not in records:
            records[kind] = _Record([], [{"start": 0, "seconds": 0}] * windows)
        if "windows" in ruling["body"]:
            stands.update(dict.fromkeys(ruling["body"]["windows"], kind))
        else:
            stands = {} if kind == "lane" else {n: kind for n in range(windows) if records[kind].seen[n]}
    return stands


def _counted(event: Plain, records: dict[str, _Record], n: int, window: Plain) -> Fraction:
    rule = event["counters"]["how"]
    lane = records["lane"].times[n] if "lane" in records and records["lane"].holds[n] else None
    read_out = records["paper"].times[n] if "paper" in records and records["paper"].holds[n] else None
    by_paper = read_out is not None and (lane is None or len(read_out) > len(lane))
    own = read_out if by_paper else lane
    if rule == "lane":
        return Fraction(len(own or []))
    there = {kind: records[kind].times[n] for kind in COUNTERS if kind in records and records[kind].worked[n]}
    total: dict[str, Fraction] = {}
    if by_paper and read_out is not None:
        there.pop("lane", None)
        there = {kind: times for kind, times in there.items() if 2 * len(times) > len(read_out)}
        total["lane"] = Fraction(len(read_out))
    for kind, times in there.items():
        others = [theirs for other, theirs in there.items() if other != kind]
        total[kind] = len(times) + _while_dark(event, times, records[kind].life, others, window)
    return _together(rule, list(total.values())) if total else Fraction(len(own or []))


def _while_dark(event: Plain, times: list[int], life: list[int], others: list[list[int]], window: Plain) -> Fraction:
    """What others counted in the silences of one counter.

    A repetition of theirs falls into the silence between the last sign of life before it and the next after it, unless it is the
    one that the counter has there, too.
    """
    rule, quiet_ms = event["counters"]["how"], event["quiet_ms"]
    start, end = window["start"] * 1000, (window["start"] + window["seconds"]) * 1000
    signs = [at for at in life if start <= at < end]
    found: dict[int, list[int]] = {}
    for theirs in others:
        into: dict[int, list[int]] = {}
        pairs = [(at, mine) for mine in times if mine in signs for at in _same(theirs, mine)]
        same = {at for at, mine in pairs if not any(min(at, mine) < one < max(at, mine) for one in signs)}
        for at in theirs:
            if at not in signs and at not in same:
                into.setdefault(sum(1 for one in signs if one < at), []).append(at)
        for silence, moments in into.items():
            if max(moments) - min(moments) > quiet_ms:
                found.setdefault(silence, []).append(len(moments))
    return sum((_together(rule, [Fraction(many) for many in counts]) for counts in found.values()), Fraction(0))


def _same(theirs: list[int], mine: int) -> list[int]:
    """The other's repetition that is one's own: the nearest, not half way to the other's next on the far side of it. Of two at
    one moment neither is: each is the other's next."""
    near = min((abs(one - mine) for one in theirs), default=0)
    found = []
    for at in (one for one in set(theirs) if abs(one - mine) == near):
        far = [abs(one - at) for one in theirs if (one > at if at > mine else one < at)]
        found += [at] if theirs.count(at) == 1 and far and 2 * near <= min(far) else []
    return found


def _together(rule: str, counts: list[Fraction]) -> Fraction:
    ordered = sorted(counts)
    n = len(ordered)
    if rule == "median":
        middle = ordered[(n - 1) // 2 : n // 2 + 1]
        return sum(middle, Fraction(0)) / len(middle)
    if n > 2 and rule == "drop_high_low":
        return sum(ordered[1:-1], Fraction(0)) / (n - 2)
    if n > 2 and rule == "closest_two":
        near = min(b - a for a, b in pairwise(ordered))
        return sum([pair for pair in pairwise(ordered) if pair[1] - pair[0] == near][-1], Fraction(0)) / 2
    return sum(ordered, Fraction(0)) / n
