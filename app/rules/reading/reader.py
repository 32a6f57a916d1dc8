"""Reads a written workout: the event that it says, each window with the words it came from, what was assumed, what is asked, what
was not understood. A pure function of the text and the answers that were given.

Nothing is guessed without being told, and nothing is passed over: what the grammar does not know, and what has no meaning where
it stands, stands in red; what changes the score and is not said is a question.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from pydantic import ValidationError

from app.rules.reading.clock import Clock
from app.rules.reading.counting_said import scores_of
from app.rules.reading.doubts import MOST_READINGS, troubled
from app.rules.reading.drafts import Draft, Stretch
from app.rules.reading.layout.broken import joined
from app.rules.reading.layout.corrected import Correction, correction_in
from app.rules.reading.layout.numbered import numbered_apart
from app.rules.reading.layout.spoken import with_stops
from app.rules.reading.layout.stamps import without_stamps
from app.rules.reading.layout.wrapped import unwrapped
from app.rules.reading.of_rounds import place_rounds
from app.rules.reading.scan.scanning import Scanner
from app.rules.reading.scan.words import ENGLISH, words_of_language
from app.rules.reading.some_count import of_what_counts
from app.rules.reading.stretches import on_the_clock
from app.rules.reading.talk import Remark, Span, Talk
from app.rules.reading.text_lines import Lines
from app.rules.reading.things import Things
from app.rules.reading.understood import MEANINGS, Understood
from app.rules.reading.versions.across import Across, across, slashed
from app.rules.reading.versions.beside import lines_for, ranked_as, with_version
from app.rules.reading.versions.blocks import Block, Groups, blocks, parted
from app.rules.reading.versions.divisions_said import divisions_in
from app.rules.reading.versions.instead import named_of, place_instead
from app.rules.reading.versions.placing import one_entry_has_both, place_loose, says_mixed, version_names
from app.rules.reading.versions.whose import tell_whose
from app.rules.workout.formats import CountTask, Format, Task, Variant
from app.rules.workout.movement_names import key_of
from app.rules.workout.presets.knobs import NEW_EVENT

MOST_TEXT = 12_000
MOST_LINES = 300
MOST_KEPT, TEXTS_KEPT = 4_000, 2  # characters of a text whose lines stay known for its next answer, and how many such texts
MOST_TRIED = 12  # sentences put beside, of which those with a sense are tried once more: in a heap of lines none is

_kept: dict[tuple[str, str], Scanner] = {}  # of the texts that were read last, which are read again with every answer


def understand(text: str, answers: Mapping[str, str] | None = None, language: str = ENGLISH) -> Understood:
    """What a written workout says, with the answers given so far by the ids of their questions."""
    if len(text) > MOST_TEXT or text.count("\n") >= MOST_LINES:
        why = f"A workout has at most {MOST_TEXT:,} characters and {MOST_LINES} lines."
        return Understood(text, "", None, (), (), (), (), (Remark(why, Span(0, len(text))),), ())
    words = words_of_language(language)
    told = with_stops(text, words.clauses)
    scanner = _scanner(text, language)
    reading = _Reading(Talk(told), scanner)
    fix = correction_in(told, list(_lines(told)), reading.words, words.corrections)
    given = answers or {}
    read = _corrected(told, fix, given, language) if fix else _read(told, given, scanner)
    _stays_known(text, language, scanner)
    return replace(read, text=text)


def _corrected(text: str, fix: Correction, answers: Mapping[str, str], language: str) -> Understood:
    """What a text says that corrects itself, once it is answered that it does, or does not; until then as if it did."""
    talk = Talk(text, answers)
    goes = talk.ask("corrected", fix.span, fix.asked, fix.answers) == fix.answers[0][0]
    made = fix.read(text, goes=goes)
    scanner = _scanner(made, language)
    read: Understood = fix.back(_read(made, answers, scanner), goes=goes)
    _stays_known(made, language, scanner)
    aside = Remark(text[fix.span.start : fix.span.end], fix.span)
    return replace(
        read,
        questions=(*talk.questions.values(), *read.questions),
        answered=(*talk.answered.values(), *read.answered),
        kept=(*read.kept, aside),
    )


def _scanner(text: str, language: str) -> Scanner:
    """What is known of a text's lines, taken out while it is in use: several texts are read at once."""
    scanner, words = _kept.pop((text, language), None), words_of_language(language)
    if scanner is None or scanner.words is not words:
        scanner = Scanner(words)
    scanner.begin()
    return scanner


def _stays_known(text: str, language: str, scanner: Scanner) -> None:
    if len(text) <= MOST_KEPT:
        _kept[text, language] = scanner
        for old in list(_kept)[:-TEXTS_KEPT]:
            _kept.pop(old, None)


def _read(text: str, answers: Mapping[str, str], scanner: Scanner) -> Understood:
    """What a text says, read until nothing more is put beside."""
    beside: frozenset[Span] = frozenset()
    lines = tuple(joined(text, list(unwrapped(text, without_stamps(text, list(_lines(text))))), scanner))
    lines = tuple(numbered_apart(text, lines))
    groups, words = Groups(scanner.words.groups), _Reading(Talk(text), scanner).words
    whole = set(lines)
    lines = tuple(parted(text, lines, groups, words))
    table = across(text, lines, groups, words)
    told = list(table.blocks) if table else blocks(text, lines, groups, words, whole)
    lines = tuple(table.lines) if table else lines
    for left in range(MOST_READINGS - 1, -1, -1):
        scanner.tries_again = left > 0 and 0 < len(beside) <= MOST_TRIED
        read, doubted = _understood(text, lines, told, answers, scanner, beside, table)
        in_vain = doubted & scanner.tried_again - scanner.in_vain
        scanner.in_vain |= in_vain
        if doubted <= beside and not in_vain:
            break
        beside |= doubted
    return read


def _understood(
    text: str,
    whole: Sequence[tuple[int, int]],
    told: Sequence[Block],
    answers: Mapping[str, str],
    scanner: Scanner,
    beside: frozenset[Span],
    table: Across | None = None,
) -> tuple[Understood, frozenset[Span]]:
    """What a text says, with its blocks of versions, without the sentences that are put beside, and which are to be put there as
    well. `table`: its versions stand across the lines, so that of two numbers for one thing the first is the first block's."""
    talk = Talk(text, answers)
    reading = _Reading(talk, scanner, beside)
    lines = list(whole)
    named = {line: one.name for one in told if one.loads for line in one.lines}
    lines = [line for line in lines if all(line != one.heading for one in told if one.loads)]
    worked = [one for one in told if not one.loads]
    first, others = (worked[0].name, worked[1:]) if len(worked) > 1 else ("", worked)
    in_two = table is not None and bool(table.blocks)
    reading.drafter.draft.slashed = slashed(text, lines, reading.words)
    reading.drafter.draft.nth = 0 if in_two else None
    reading.drafter.draft.headed = table.names if table is not None and not in_two else ()
    read = reading.read(lines_for(lines, worked, worked[:1] if first else [], set()), named)
    doubted = set(troubled(reading.told, talk, partial(reading.says_again, format=read.format)))
    rounds = reading.drafter.draft.rounds_of
    if rounds is not None and {one.name.casefold() for one in worked} & set(rounds.names):
        why = "Whose rounds these are is told, and what the same versions do is told below."
        read = replace(read, not_understood=(*read.not_understood, Remark(why, rounds.span)))
    for one in others:
        talk = Talk(text, answers)
        own = lines_for(lines, worked, [one], set() if first else reading.worked_in(lines))
        other = _Reading(talk, scanner, beside)
        other.drafter.draft.nth = 1 if in_two else None
        of_version = other.read(own, named)
        read = with_version(read, first, one, of_version, talk)
        doubted.update(troubled(other.told, talk, partial(other.says_again, format=of_version.format)))
    return read, frozenset(doubted)


def _lines(text: str) -> Iterator[tuple[int, int]]:
    """Where each line begins and ends. One with a number alone goes with the next."""
    start = at = 0
    for line in text.splitlines(keepends=True):
        end = at + len(line.rstrip("\r\n\v\f\x1c\x1d\x1e\x85\u2028\u2029"))
        at += len(line)
        if line.strip().isdigit() and at < len(text) and start == end - len(line.rstrip("\r\n")):
            continue
        yield start, end
        start = at


class _Reading(Lines):
    def read(self, lines: list[tuple[int, int]], named: Mapping[tuple[int, int], str]) -> Understood:
        """What these lines say, some of them under the name of a version."""
        for start, end in lines:
            self.version = named.get((start, end), "")
            if divisions := divisions_in(self.talk.text[start:end], self.scanner.words.divisions):
                self.drafter.draft.divisions += divisions
            else:
                self._line(start, end)
        self.end()
        return self.understood()

    def _line(self, start: int, end: int) -> None:
        """A line; one with a number that is none of its kind, such as half a round, is red as a whole."""
        try:
            self.line(start, end)
        except ValueError:
            self.talk.red(Span(start, end), "A number in this line is not whole, and has to be.")

    def worked_in(self, lines: list[tuple[int, int]]) -> set[tuple[int, int]]:
        """The lines in which something is done."""
        begins = {work.span.start for stretch in self.drafter.draft.stretches for work in stretch.works}
        return {(start, end) for start, end in lines if any(start <= at < end for at in begins)}

    def understood(self) -> Understood:
        """The event, once every line is read."""
        draft, talk = self.drafter.draft, self.talk
        things = Things(draft, talk, pick=draft.nth or 0)
        draft.mixed = says_mixed(talk.text, self.scanner.words.mixed)
        place_rounds(draft, talk)
        tell_whose(draft, talk)
        place_loose(draft, talk)
        place_instead(draft, talk)
        self._who(things)
        one_entry_has_both(draft, talk)
        clock, format = Clock(things), None
        try:
            clock = on_the_clock(things)
            format = self._format(clock)
        except ValidationError as wrong:
            said = str(wrong.errors()[0]["msg"]).removeprefix("Value error, ")
            self.talk.red(Span(0, len(self.talk.text)), f"This does not fit together: {said}")
        if format is not None:
            talk.settle(lambda span: self.says_again(span, format))
        talk.ask_doubts()
        order = sorted(talk.questions.values(), key=lambda one: one.span.start if one.span else len(talk.text))
        return Understood(
            talk.text,
            draft.title,
            format,
            tuple(clock.sources) if format else (),
            tuple(self._numbers()),
            tuple(talk.assumed.values()),
            tuple(order),
            tuple(sorted(talk.not_understood, key=lambda one: one.span.start if one.span else 0)),
            tuple(talk.kept),
            tuple(talk.answered.values()),
            tuple(dict.fromkeys(draft.divisions)),
        )

    def _who(self, things: Things) -> None:
        draft = things.draft
        for told, span in draft.changes:
            if not any(one.works and one.who for one in draft.stretches[told - 1 :]):
                self.talk.red(span, "What is done after the change is not said.")
        if draft.held_rule is not None and not any(one.held for one in draft.stretches):
            self.talk.unknown(draft.held_rule, "What is held, and by whom, is not said.")
        members = [
            number
            for one in draft.stretches
            for who in (one.who, one.holder, *(group.who for group in one.groups), *(work.who for work in one.works))
            for number in who or ()
        ]
        if draft.members is None and members:
            draft.members = max(2, *members)
            self.talk.assume(f"An entry has {draft.members} members, as they are named.")
        others = set(range(1, (draft.members or 1) + 1)) - set(members)
        if members and others and all(_by_members(one) for one in draft.stretches if one.works):
            self.talk.red(draft.members_span or Span(0, len(self.talk.text)), "What the others do is not said.")
        in_step = any(work.sync for stretch in draft.stretches for work in stretch.works)
        if draft.members is None and (in_step or draft.style not in ("", "ALLTOGETHER")):
            asked = "How many make an entry is not said."
            draft.members = self.talk.count("members", draft.style_span, asked, (2, 3, 4))
        self._at_once(draft)
        if draft.members is None:
            self.talk.assume("Each athlete works alone: no pair and no team is named.")

    def _at_once(self, draft: Draft) -> None:
        """`Two work, two rest`: whether so many are in the entry, and work at once; an event that they split holds neither."""
        if draft.style_span is None:
            return
        said = self.talk.text[draft.style_span.start : draft.style_span.end]
        numbers = self.scanner.words.numbers
        told = [numbers[word] for word in said.casefold().replace(",", " ").split() if word in numbers]
        if len(told) > 1 and sum(told) != draft.members:
            self.talk.red(draft.style_span, f"It says {' and '.join(map(str, told))}, and an entry has {draft.members} members.")
        elif len(told) > 1 and told[0] > 1:
            self.talk.cannot(draft.style_span, f"“{said}”: that {told[0]} work at once can't be said yet.")

    def _format(self, clock: Clock) -> Format | None:
        if not clock.windows or not clock.tasks:
            if not self.talk.not_understood:
                self.talk.red(Span(0, len(self.talk.text)), "No work was found in this.")
            return None
        scores = scores_of(clock)
        made = Format(
            members=clock.draft.members or 1,
            unit=clock.things.unit(),
            movements=clock.things.movements,
            tasks=clock.tasks,
            windows=tuple(clock.windows),
            scores=scores,
            miss_puts_out=clock.out,
        )
        return self._with_version(clock, made.model_copy(update=NEW_EVENT))

    def _with_version(self, clock: Clock, made: Format) -> Format:
        """The other versions, where the text has several numbers for one thing."""
        names = version_names(clock.draft, self.talk)
        self._all_named(clock.draft, names or ())
        for written, span in clock.draft.written_for:
            agrees = bool(names) and (names or ("",))[0].casefold() == written
            self.talk.set_aside(span) if agrees else self.talk.doubted.append(span)
        if not names:
            return made
        variants = [self._variant(clock, made, name, pick) for pick, name in enumerate(names[1:], 1)]
        if any(variant is None for variant in variants):
            return made
        for name in names[1:]:
            self.talk.assume(f"The event as written is for: {names[0]}. Which division does “{name}” is chosen beside the event.")
        return made.model_copy(update={"variants": tuple(variants)})

    def _all_named(self, draft: Draft, names: tuple[str, ...]) -> None:
        """Whether every version that does something else is one of those that there are."""
        draft.names = names
        for one in draft.instead:
            if not set(named_of(draft, one.version)) & set(names[1:]):
                self.talk.red(one.span, f"“{one.version}” is none of the versions that have loads of their own.")

    def _variant(self, clock: Clock, made: Format, name: str, pick: int) -> Variant | None:
        other = on_the_clock(Things(clock.draft, self.talk, pick=pick))
        of_what_counts(other, other.done)
        tasks = {key: task for key, task in other.tasks.items() if key in made.tasks and made.tasks[key] != task}
        used = {key for key, movement in other.things.movements.items() if made.movements.get(key) != movement}
        if set(other.tasks) != set(made.tasks) or other.windows != list(made.windows):
            self.talk.red(Span(0, len(self.talk.text)), "The two versions differ in more than numbers.")
            return None
        tasks = {key: _as_scored(made, key, task) for key, task in tasks.items()}
        movements = {key: other.things.movements[key] for key in used}
        return Variant.model_validate(
            {"id": key_of(name), "name": name, "ranked": ranked_as(name), "movements": movements, "tasks": tasks}
        )

    def _numbers(self) -> Iterator[Remark]:
        """Every number that was taken, and as what."""
        for tok in self.taken:
            if tok.values and tok.kind in MEANINGS:
                yield Remark(MEANINGS[tok.kind], Span(tok.start, tok.end))


def _by_members(stretch: Stretch) -> bool:
    """Whether each thing in it is done by members who are named."""
    groups = [group for group in stretch.groups if group.works]
    return bool(stretch.who) or all(group.who or all(work.who for work in group.works) for group in groups)


def _as_scored(made: Format, key: str, task: Task) -> Task:
    """What an answer about the score has changed in a task goes for its other version too."""
    first = made.tasks[key]
    if isinstance(first, CountTask) and first.miss_puts_out:
        return task.model_copy(update={"miss_puts_out": True})
    return task
