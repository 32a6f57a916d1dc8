"""Which of several files are one hall's: told by whose ledger it is (records/document.py), never by a mark that two share.

A file is an earlier version of another when both are of one ledger, the other proves that by the ledger's secret, and holds all
that this one does: every mark, run and ruling. Two of one ledger and one digest say the same, so they are one also where neither
proves anything. Whatever else may be one hall's newer file (one ledger, but something is missing;
a file of version 1, that does not say whose it is; a copy for everybody, that proves nothing; one without marks yet) is asked of
a person. Until then both count: nobody is doubled by that, for of an entry that stands in both the file taken in first counts
(halls.py), and the question says so. Two ledgers are two halls, also where they hold the same marks; that is said.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, for_everybody
from app.rules.result.hall_records import HallFile
from app.rules.result.sealing import seal_of
from app.rules.values.words import say

SHORT = 16  # hex digits of a file's digest that name it in a question
NEWER, ANOTHER = "newer", "another"  # the answers to the question of versions

FindingKind = Literal["same-file", "older-version", "lost-marks", "same-marks", "other-format", "unsettled", "settled"]
Related = Literal["continues", "same-state", "ask", "same-marks", ""]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about the files that a person must know.

    `key` names a question that a person can settle, by one of `halls` or, where `may_be_two`, by TWO_PEOPLE; where `versions`, by
    NEWER or ANOTHER, for then it is whether the second of `halls` is the first's newer file. `between`: the digests of two files,
    where it is so only while both count.
    """

    kind: FindingKind
    text: str
    key: str = ""
    halls: tuple[str, ...] = ()
    may_be_two: bool = False
    versions: bool = False
    between: tuple[str, ...] = ()


@dataclass(slots=True)
class _Kept:
    """The files that count so far, with what each can be found by."""

    files: dict[str, HallFile] = field(default_factory=dict)  # by digest, in the order taken in
    ledgers: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    competitions: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    marks: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))

    def put(self, hall: HallFile, instead: Sequence[HallFile] = ()) -> None:
        """Keeps a file: after the others, or instead of some of them, in the place of the first."""
        gone = [one.digest for one in instead]
        if not gone:
            self.files[hall.digest] = hall
        else:
            placed = ((hall.digest, hall) if key == gone[0] else (key, one) for key, one in self.files.items())
            self.files = {key: one for key, one in placed if key not in gone}
        if hall.file.ledger is not None:
            self.ledgers[hall.file.ledger.id].append(hall.digest)
        self.competitions[hall.file.competition.id].append(hall.digest)
        for mark in hall.file.marks:
            self.marks[mark.id].append(hall.digest)

    def sharing(self, hall: HallFile) -> dict[str, int]:
        """How many marks each of the files shares with this one; those that share none are left out."""
        shared: dict[str, int] = defaultdict(int)
        for mark in hall.file.marks:
            for digest in self.marks.get(mark.id, ()):
                shared[digest] += 1
        return {digest: count for digest, count in shared.items() if digest in self.files}

    def perhaps_related(self, hall: HallFile, shared: Mapping[str, int]) -> Iterator[HallFile]:
        """The files that may be of the same hall, in the order taken in."""
        named = self.ledgers.get(hall.file.ledger.id, []) if hall.file.ledger else []
        found = {*named, *self.competitions.get(hall.file.competition.id, ()), *shared}
        yield from [one for digest, one in self.files.items() if digest in found]


def newest(files: Sequence[HallFile], settled: Mapping[str, str]) -> tuple[list[HallFile], list[Finding]]:
    """Each file once, and of versions of one hall's file the latest; and what was found. `settled`: answers by question."""
    kept, findings, known = _Kept(), list[Finding](), dict[str, HallFile]()
    for hall in files:
        if (same := known.setdefault(hall.digest, hall)) is not hall:
            findings.append(Finding("same-file", f"{hall.name} is the same file as {same.name}, so they count as one."))
        else:
            findings += _keep(kept, hall, settled)
    return list(kept.files.values()), [one for one in findings if kept.files.keys() >= set(one.between)]


def _keep(kept: _Kept, hall: HallFile, settled: Mapping[str, str]) -> list[Finding]:
    """Takes one more file among those that count."""
    findings, instead = list[Finding](), list[HallFile]()
    shared = kept.sharing(hall)
    for other in kept.perhaps_related(hall, shared):
        old, new = sorted((other, hall), key=_age)
        related = _related(old, new, shared.get(other.digest, 0))
        answer = NEWER if related in ("continues", "same-state") else settled.get(_key(old, new), "")
        if related == "same-marks":
            findings.append(_same_marks(old, new, shared[other.digest]))
        elif related and answer == NEWER:
            if old is hall:  # it does not count, so nothing else is asked of it
                return _older(old, new, related)
            findings += _older(old, new, related)
            instead.append(other)
        elif related:
            findings.append(_question(old, new, answer))
    kept.put(hall, instead)
    return findings


def _age(hall: HallFile) -> tuple[bool, int, int]:
    """What a later file of one hall has more of: marks at all, then time, then marks."""
    return (bool(hall.file.marks), hall.file.made_wall_ms, len(hall.file.marks))


def _related(old: HallFile, new: HallFile, shared: int) -> Related:
    """How two files hang together; `shared`: how many marks they share. Empty where they are two halls'."""
    one, other = old.file.ledger, new.file.ledger
    if one is not None and other is not None:
        if one.id != other.id:
            return "same-marks" if shared else ""
        if old.file.marks and shared == len(old.file.marks) == len(new.file.marks) and _digest(old) == _digest(new):
            return "same-state"
        proven = other.secret is not None and bool(old.file.marks)
        return "continues" if proven and shared == len(old.file.marks) and _continues(old.file, new.file) else "ask"
    both_judged = bool(old.file.marks and new.file.marks)
    return "ask" if shared or not both_judged else ""


def _continues(old: CompetitionFile, new: CompetitionFile) -> bool:
    """Whether a file holds all that an earlier one does, as it was; runs may have ended since."""
    marks = {mark.id: for_everybody(mark) for mark in new.marks}
    rulings = {ruling.id: ruling for ruling in new.rulings}
    runs = {(run.heat, run.number) for run in new.runs}
    return (
        all(marks.get(mark.id) == for_everybody(mark) for mark in old.marks)
        and all(rulings.get(ruling.id) == ruling for ruling in old.rulings)
        and all((run.heat, run.number) in runs for run in old.runs)
    )


def _digest(hall: HallFile) -> str:
    """The digest of what a file says now, whatever its seal says: the same of a whole file and of the one for everybody."""
    return seal_of(hall.file).digest


def _key(one: HallFile, other: HallFile) -> str:
    first, second = sorted((one.digest, other.digest))
    return f"version/{first[:SHORT]}/{second[:SHORT]}"


def _question(old: HallFile, new: HallFile, answer: str) -> Finding:
    words = f"{new.name} may be a newer file from the same hall as {old.name}, or another hall's; the files can't tell."
    until = "Until somebody settles it, both count; for an entry in both, the file taken in first."
    kind: FindingKind = "settled" if answer == ANOTHER else "unsettled"
    told = "They are two halls: both count." if answer == ANOTHER else until
    halls, between = (old.name, new.name), (old.digest, new.digest)
    return Finding(kind, f"{words} {told}", _key(old, new), halls, versions=True, between=between)


def _same_marks(old: HallFile, new: HallFile, shared: int) -> Finding:
    words = say("files.same_marks", n=shared, one=old.name, other=new.name)
    told = f"{words} Both files count. Ask where those come from."
    return Finding("same-marks", told, between=(old.digest, new.digest))


def _older(old: HallFile, new: HallFile, related: Related) -> list[Finding]:
    if related == "same-state":
        return [Finding("same-file", f"{old.name} says the same as {new.name}, from one hall at one time, so they count as one.")]
    words = f"{old.name} is an earlier version of {new.name}, so it does not count."
    if related == "continues":
        return [Finding("older-version", words)]
    findings = [Finding("settled", words, _key(old, new), (old.name, new.name), versions=True)]
    if lost := len(_ids(old.file.marks) - _ids(new.file.marks)):
        told = say("files.lost_marks", n=lost, older=old.name, later=new.name)
        findings.append(Finding("lost-marks", told))
    return findings


def _ids(marks: Sequence[Mark]) -> set[str]:
    return {mark.id for mark in marks}
