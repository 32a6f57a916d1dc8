"""Reads a work list as people write it: `14 swings 24 kg`, `250 m run`, `18 cal row`, `3 rounds:`, `16-12-8:`.

One line for each thing to do, or several on a line with a semicolon or a comma and a blank between them:

    3 rounds:            what follows, to the next empty line, is done that often
    16-12-8:             each movement that follows is done 16 times, then each 12 times, then each 8 times
    A: 10 pull-ups       member A does it; `A+B:` both together
    10 step-ups @ 20 kg  with a load; `20 kg`, `at 20 kg` and `(20 kg)` say the same
    400 m run = 40       worth 40 repetitions of work where work left or work done is ranked; else 1, a calorie 1 each
    400 m run = 0        done, and does not count
    10 lunges (each leg) a note for the judge
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import count

from app.rules.values.units import Load, LoadUnit, shown
from app.rules.workout.movement_names import key_of
from app.rules.workout.movements import Called, lookup, named_movement, typed_words
from app.rules.workout.tasks import MOST_TAPS, NOTHING_COUNTS, Movement, WorkItem
from app.rules.workout.words import member_letter
from app.rules.workout.written_line import MEASURED, ONLY_LOAD, TIMED, BadWork, WorkLine, taken_apart, worth_of

__all__ = ["BadWork", "Named", "WrittenWork", "read_movements", "read_scheme", "read_work", "work_text"]

MOST_LINES = 200
MOST_TEXT = 6000
MOST_ROUNDS = 1000
MOST_DIFFERENT = 40  # movements in one list

ROUNDS = re.compile(r"(\d{1,4})\s*(?:rounds?|times)(?:\s+(?:of|through))?\s*:?\s*", re.IGNORECASE)
SCHEME = re.compile(r"(\d{1,5}(?:\s*[-–—]\s*\d{1,5})+)\s*(?:reps?\b|repetitions?\b)?\s*(?:of\b)?\s*:?\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class WrittenWork:
    """What was written: the items in order, the movements they use by key, and how often the whole is done."""

    items: tuple[WorkItem, ...]
    movements: dict[str, Movement]
    rounds: int = 1

    @property
    def written_out(self) -> tuple[WorkItem, ...]:
        """The items with the rounds written out. Raises BadWork when that gives too many lines."""
        if len(self.items) * self.rounds > MOST_LINES:
            raise BadWork(f"Written out, the work has {len(self.items) * self.rounds} lines; at most {MOST_LINES} are allowed.")
        return self.items * self.rounds


@dataclass(slots=True)
class _Block:
    """Lines under one heading: so many rounds, or a scheme of repetitions."""

    rounds: int = 1
    scheme: tuple[int, ...] = ()
    lines: list[WorkLine] = field(default_factory=list)

    def written_out(self) -> list[WorkLine]:
        if not self.scheme:
            return self.lines * self.rounds
        for line in self.lines:
            if line.counted:
                raise BadWork(f"“{shown(line.text)}” has a number of its own under {self._heading}. Leave one of the two out.")
        return [replace(line, reps=reps) for reps in self.scheme for line in self.lines]

    @property
    def _heading(self) -> str:
        return "-".join(str(reps) for reps in self.scheme)


def read_work(text: str, unit: LoadUnit = "kg", members: int = 1, known: Mapping[str, Movement] | None = None) -> WrittenWork:
    """A written work list. `unit` is that of a load without one; `known` are movements of the event, by key, found before the
    library's. Raises BadWork."""
    blocks = _blocks(text, unit, members)
    if not blocks:
        raise BadWork("The work is empty. Write one thing per line, such as “21 swings 24 kg” or “400 m run”.")
    alone = blocks[0] if len(blocks) == 1 and not blocks[0].scheme else None
    lines = alone.lines if alone else [line for block in blocks for line in _bounded(block)]
    _check_length(lines)
    book = _Book(unit, known or {})
    items = tuple(_item(line, book) for line in lines)
    if not any(item.worth for item in items):
        raise BadWork(NOTHING_COUNTS)
    return WrittenWork(items, book.movements, alone.rounds if alone else 1)


def read_scheme(text: str) -> tuple[int, ...]:
    """`16-12-8` as numbers; a single number is a scheme too. Raises BadWork."""
    typed = text.strip()
    parts = [part.strip() for part in re.split(r"[-–—,\s]+", typed)] if len(typed) <= MOST_TEXT else []
    if not typed or not all(re.fullmatch(r"[0-9]{1,5}", part) and int(part) > 0 for part in parts) or not 1 <= len(parts) <= 50:
        raise BadWork(f"A scheme is repetitions with dashes between them, such as 16-12-8; not “{shown(typed)}”.")
    return tuple(int(part) for part in parts)


@dataclass(frozen=True, slots=True)
class Named:
    """A movement of a list without repetitions: its key, itself, the load behind its name, and what it is called there where that
    is not its name."""

    key: str
    movement: Movement
    load: Load | None = None
    words: str | None = None


def read_movements(text: str, unit: LoadUnit = "kg", *, lifted: bool = False) -> tuple[Named, ...]:
    """Movements without numbers, `swings 24 kg; pull-ups`, one a line or several. Raises BadWork."""
    found: list[Named] = []
    book = _Book(unit, {}, lifted)
    for piece in _pieces(text):
        if piece:
            line = taken_apart(piece, unit, 1)
            if line.counted:
                raise BadWork(f"“{shown(piece)}” begins with a number. Only the names of movements belong here.")
            key, words = book.entered(line)
            found.append(Named(key, book.movements[key], line.load, words))
    if not found:
        raise BadWork("No movement is named. Write one per line, such as “Swings 24 kg”.")
    if len(found) > MOST_DIFFERENT:
        raise BadWork(f"There are more than {MOST_DIFFERENT} movements.")
    return tuple(found)


def work_text(items: tuple[WorkItem, ...], movements: Mapping[str, Movement]) -> str:
    """Items as read_work reads them back, one a line."""
    return "\n".join(_item_text(item, item.called(movements)) for item in items)


def _item_text(item: WorkItem, name: str) -> str:
    who = "+".join(member_letter(member) for member in item.who) + ": " if isinstance(item.who, tuple) else ""
    amount, note = str(item.reps), item.note
    if note and item.reps == 1 and (MEASURED.fullmatch(f"{note} ") or TIMED.fullmatch(f"{note} ")):
        amount, note = note, None
    text = f"{who}{amount} {name}"
    text += f" ({note})" if note else ""
    text += f" = {item.worth}" if item.worth != worth_of(amount) else ""
    return text + (f" @ {item.load.text()}" if item.load else "")


def _pieces(text: str) -> Iterator[str]:
    """The lines of a text, split at semicolons and commas before a blank; an empty one for each empty line."""
    if len(text) > MOST_TEXT:
        raise BadWork(f"The work is longer than {MOST_TEXT} characters.")
    for line in text.splitlines():
        yield from _divided(line) if line.strip() else [""]


def _divided(line: str) -> list[str]:
    """`10 deadlifts, 100 kg; run` is two things: a load goes with what stands before it."""
    found: list[str] = []
    for piece in re.split(r";|,\s+", line):
        if not ONLY_LOAD.fullmatch(piece.strip()):
            found += [piece.strip()] if piece.strip() else []
        elif found:
            found[-1] += f" {piece.strip()}"
        else:
            raise BadWork(f"“{shown(piece.strip())}” is a load without a movement. Write it after its movement.")
    return found


def _blocks(text: str, unit: LoadUnit, members: int) -> list[_Block]:
    blocks = [_Block()]
    for piece in _pieces(text):
        if not piece or piece.casefold().strip(" :.") == "then":
            blocks.append(_Block())
            continue
        block, rest = _heading(piece)
        if block is not None:
            blocks.append(block)
        if rest:
            blocks[-1].lines.append(taken_apart(rest, unit, members))
    for block in blocks:
        if not block.lines and (block.rounds != 1 or block.scheme):
            raise BadWork("A heading such as “3 rounds:” or “16-12-8:” has no work under it.")
    return [block for block in blocks if block.lines]


def _heading(piece: str) -> tuple[_Block | None, str]:
    if found := ROUNDS.match(piece):
        rounds = int(found[1])
        if not 1 <= rounds <= MOST_ROUNDS:
            raise BadWork(f"“{shown(piece)}”: rounds are from 1 to {MOST_ROUNDS}.")
        return _Block(rounds=rounds), piece[found.end() :]
    if found := SCHEME.match(piece):
        return _Block(scheme=read_scheme(found[1])), piece[found.end() :]
    return None, piece


def _bounded(block: _Block) -> list[WorkLine]:
    written = len(block.lines) * (len(block.scheme) or block.rounds)
    if written > MOST_LINES:
        raise BadWork(f"Written out, the work has {written} lines; at most {MOST_LINES} are allowed.")
    return block.written_out()


def _check_length(lines: list[WorkLine]) -> None:
    if len(lines) > MOST_LINES:
        raise BadWork(f"Written out, the work has {len(lines)} lines; at most {MOST_LINES} are allowed.")
    if sum(line.reps for line in lines) > MOST_TAPS:
        raise BadWork(f"The work has more than {MOST_TAPS} repetitions in a round.")


def _item(line: WorkLine, book: "_Book") -> WorkItem:
    key, words = book.entered(line)
    worth = 1 if line.worth is None else line.worth
    return WorkItem(movement=key, words=words, reps=line.reps, worth=worth, load=line.load, who=line.who, note=line.note)


class _Book:
    """The movements that a text names, by key: those of the event that it means, and the new ones."""

    def __init__(self, unit: LoadUnit, known: Mapping[str, Movement], lifted: bool = False) -> None:
        self.movements: dict[str, Movement] = {}
        self._unit, self._known, self._lifted = unit, known, lifted
        self._called = Called({key: movement.name for key, movement in known.items()})

    def entered(self, line: WorkLine) -> tuple[str, str | None]:
        """The key of a line's movement, and what it is called there where that is not its name. Raises BadWork."""
        words = " ".join(line.name.split())
        key = self._called.meant(words)
        if key is None:
            _one_thing(line)
            return self._new(_nameable(line)), None
        if key not in self.movements:
            self._put(key, self._known[key])
        return key, None if words == self.movements[key].name else _nameable(line)

    def _new(self, words: str) -> str:
        key, found = named_movement(words, self._unit, lifted=self._lifted)
        free, taken = key, self.movements.keys() | self._known.keys()
        for number in count(2):
            if free not in taken:
                break
            free = f"{key_of(words)[:34]}_{number}"
        self._put(free, found)
        self._called.add(free, words)
        return free

    def _put(self, key: str, movement: Movement) -> None:
        if len(self.movements) >= MOST_DIFFERENT:
            raise BadWork(f"There are more than {MOST_DIFFERENT} movements.")
        self.movements[key] = movement


def _nameable(line: WorkLine) -> str:
    """The name on a line as it was typed. Raises BadWork for one that a list could not name."""
    try:
        words = typed_words(line.name)
    except ValueError as wrong:
        raise BadWork(f"“{shown(line.text)}”: {wrong}") from None
    if not _reads_back(words):
        raise BadWork(f"“{shown(line.text)}”: “{shown(words)}” can't be a movement's name. Leave signs and numbers out of it.")
    return words


def _reads_back(name: str) -> bool:
    """Whether a list can name this movement: written in one, it is a line of work again, and the same."""
    try:
        return all(
            list(_pieces(line)) == [line] and _heading(line)[0] is None and taken_apart(line, "kg").name == name
            for line in (f"1 {name}", f"400 m {name}")
        )
    except BadWork:
        return False


def _one_thing(line: WorkLine) -> None:
    """`Swings and pull-ups`, `3 x 10 pull-ups` would become new movements of that name; that is hardly ever meant."""
    if re.search(r"\d\s*/\s*\d", line.text):
        raise BadWork(f"“{shown(line.text)}” has two numbers. Write one; another division's number goes into its variant.")
    if re.search(r"(?<![\w-])[\d/]+(?![\w-])", line.name) or MEASURED.search(f"{line.name} "):
        told = "Write one thing per line, such as “21 swings 24 kg”; a whole workout is pasted under Events."
        raise BadWork(f"“{shown(line.text)}” has one number too many. {told}")
    if re.match(r"max\b", line.name, re.IGNORECASE):
        raise BadWork(f"“{shown(line.text)}”: as many as possible is a window of its own. A line of a list has a number.")
    parts = re.split(r"\s+(?:and|&|\+)\s+", line.name, flags=re.IGNORECASE)
    if len(parts) > 1 and not _is_known(line.name) and all(_is_known(part) for part in parts):
        raise BadWork(f"“{shown(line.text)}” names {len(parts)} movements. Write each on a line of its own.")


def _is_known(name: str) -> bool:
    return lookup(name).key is not None
