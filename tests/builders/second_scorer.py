"""A second scorer of counted windows, written from the words of the rules alone: plain JSON in, one number out.

It shares no code with the app. It knows windows of repetitions with their targets, several counters, totals read out, films and
shadows, strike-outs, and rulings that let a sheet stand. Every mark it is given names its window and lies inside it.
"""

from fractions import Fraction
from itertools import pairwise
from typing import Any

Plain = dict[str, Any]
COUNTERS = ("lane", "second", "third")
SILENT_MS = 30_000


class _Record:
    """What one sheet says: its repetitions by window, and until when whoever judged it gave a sign of life in each."""

    def __init__(self, marks: list[Plain], windows: list[Plain]) -> None:
        gone = {mark["body"]["mark"] for mark in marks if mark["kind"] == "strike"}
        reps = [mark for mark in marks if mark["kind"] == "rep" and mark["id"] not in gone]
        self.times = [sorted(mark["at"] for mark in reps if mark["win"] == n) for n in range(len(windows))]
        told = [mark for mark in marks if mark["kind"] != "note"]  # a note changes no number
        signs = [mark["at"] for mark in told if mark["kind"] == "sign"]
        self.last = []
        self.any = any(mark["kind"] in ("rep", "norep") for mark in marks)
        self.seen = []
        for n, window in enumerate(windows):
            end = (window["start"] + window["seconds"]) * 1000
            here = any(mark["win"] == n for mark in told)
            self.last.append(max([*(mark["at"] for mark in told if mark["at"] < end), *signs], default=-1))
            self.seen.append(here or any(mark["kind"] == "sign" and mark["at"] >= end for mark in marks))


def total(event: Plain, marks: list[Plain], rulings: list[Plain]) -> Fraction | None:
    """The sum over all windows, or None where nothing was judged. `rulings` are those that let a sheet stand, oldest first."""
    windows = event["windows"]
    by_kind: dict[str, list[Plain]] = {}
    for mark in marks:
        by_kind.setdefault(mark["sheet"].split("/")[2], []).append(mark)
    records = {kind: _Record(own, windows) for kind, own in by_kind.items()}
    ruled = _ruled(rulings, records, len(windows))
    rule = event["counters"]["how"]
    only_lane = any("windows" not in r["body"] and r["body"]["sheet"].endswith("lane") for r in rulings[_newest_whole(rulings) :])
    held = {kind: record for kind, record in records.items() if not only_lane or kind == "lane"}
    usual = ("lane", "paper") if rule == "lane" else ("lane", "paper", "second", "third")
    if not any(held[kind].any for kind in usual if kind in held) and not any(records[kind].any for kind in ruled.values()):
        return None
    score, nth, out = Fraction(0), 0, False
    task = event["tasks"]["work"]
    for n in range(len(windows)):
        got = Fraction(len(records[ruled[n]].times[n])) if n in ruled else _counted(rule, held, n, windows[n])
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


def _counted(rule: str, records: dict[str, _Record], n: int, window: Plain) -> Fraction:
    lane = records["lane"].times[n] if "lane" in records else None
    read_out = records["paper"].times[n] if "paper" in records and records["paper"].any else None
    by_paper = read_out is not None and (lane is None or len(read_out) > len(lane))
    own = read_out if by_paper else lane
    if rule == "lane":
        return Fraction(len(own or []))
    there: dict[str, list[int]] = {}
    if own is not None and (by_paper or records["lane"].seen[n]):
        there["lane"] = own
    for kind in COUNTERS[1:]:
        if kind in records and records[kind].seen[n]:
            there[kind] = records[kind].times[n]
    end = (window["start"] + window["seconds"]) * 1000
    dark = [
        kind
        for kind, times in there.items()
        if not (kind == "lane" and by_paper)
        and any(_went_dark(times, records[kind].last[n], other, end) for other in there.values())
    ]
    counts = [len(times) for kind, times in there.items() if kind not in dark]
    return _together(rule, counts) if counts else Fraction(len(own or []))


def _went_dark(times: list[int], last: int, other: list[int], end: int) -> bool:
    if len(times) < 5 or last > times[-1] or times[-1] + SILENT_MS > end:
        return False
    since = times[-1]
    if abs(sum(1 for at in other if at <= since) - len(times)) > max(1, len(times) // 10):
        return False
    early = any(since < at <= since + SILENT_MS // 2 for at in other)
    late = any(at > since + SILENT_MS // 2 for at in other)
    return early and late and max(other) >= since + SILENT_MS


def _together(rule: str, counts: list[int]) -> Fraction:
    ordered = sorted(counts)
    n = len(ordered)
    if rule == "median":
        middle = ordered[(n - 1) // 2 : n // 2 + 1]
        return Fraction(sum(middle), len(middle))
    if n > 2 and rule == "drop_high_low":
        return Fraction(sum(ordered[1:-1]), n - 2)
    if n > 2 and rule == "closest_two":
        near = min(b - a for a, b in pairwise(ordered))
        return Fraction(sum([pair for pair in pairwise(ordered) if pair[1] - pair[0] == near][-1]), 2)
    return Fraction(sum(ordered), n)
