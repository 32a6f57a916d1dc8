"""Reads a written workout: the event that it says, each window with the words it came from, what was assumed, what is asked, what
was not understood. A pure function of the text and the answers that were given.

Nothing is guessed without being told, and nothing is passed over: what the grammar does not know, and what has no meaning where
it stands, stands in red; what changes the score and is not said is a question.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from app.rules.reading.chunks import chunks
from app.rules.reading.clock import Clock
from app.rules.reading.counting_said import scores_of
from app.rules.reading.drafting import Drafter
from app.rules.reading.grammar import Statement, parsed
from app.rules.reading.loose import place_loose, version_names
from app.rules.reading.scanning import Scanner, Tok, pieces, with_texts
from app.rules.reading.stretches import on_the_clock
from app.rules.reading.talk import Question, Remark, Span, Talk
from app.rules.reading.things import Things
from app.rules.reading.words import ENGLISH, words_of_language
from app.rules.workout.formats import CountTask, Format, Task, Variant
from app.rules.workout.movement_names import key_of
from app.rules.workout.presets.knobs import NEW_EVENT

MOST_TEXT = 12_000
MOST_LINES = 300
MOST_LINE = 500
NOT_KNOWN = "This was not understood."
# The first line is a title if it holds words alone, or begins so.
COUNTED_OUT = r"(?:\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|[a-h])\b"
NUMBERED = re.compile(rf"(?:event|workout|wod|part|test|day)\s+(?:no\.?\s*|nr\.?\s*|#\s*)?{COUNTED_OUT}", re.IGNORECASE)
LABEL = re.compile(rf"\W*(?:event|workout|wod|test)\s+(?:no\.?\s*|nr\.?\s*|#\s*)?{COUNTED_OUT}[\s.:=,–—-]*", re.IGNORECASE)
WORDS_OF_TITLE = {"UNKNOWN", "PROSE", "COLON", "COMMA", "QUOTE", "DPRIME", "PRIME", "NOTE", "AND", "STOP", "PART", "SLASH"}
# What may stand in a sentence that says nothing of the workout.
WORDS_OF_TALK = {"UNKNOWN", "PROSE", "COLON", "COMMA", "QUOTE", "DPRIME", "NOTE", "AND", "MEMBERA", "MEMBERB", "BOTH", "ALLTOGETHER"}
OF_A_STANDARD = WORDS_OF_TALK | {"MOVE", "TARGET", "SLASH", "AT", "HOLD", "UNBROKEN", "SYNC", "EACHSIDE"}
RANKED = {"Scaled": "after"}


@dataclass(frozen=True, slots=True)
class Understood:
    """What a text was understood to say.

    `format` is None where no event came of it; while questions are open, it is the event by each first answer. `sources`: for
    each window of the format the stretches of the text that it came from. `numbers`: every number of the text that was taken,
    and as what. `not_understood` stands in red; `kept` was left out of the event by somebody, or is told beside it; `answered`
    are questions with what was said to them.
    """

    text: str
    title: str
    format: Format | None
    sources: tuple[tuple[Span, ...], ...]
    numbers: tuple[Remark, ...]
    assumed: tuple[Remark, ...]
    questions: tuple[Question, ...]
    not_understood: tuple[Remark, ...]
    kept: tuple[Remark, ...]
    answered: tuple[tuple[Question, str], ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is open: there is an event, no question, nothing in red."""
        return self.format is not None and not self.questions and not self.not_understood


def understand(text: str, answers: Mapping[str, str] | None = None, language: str = ENGLISH) -> Understood:
    """What a written workout says, with the answers given so far by the ids of their questions."""
    if len(text) > MOST_TEXT or text.count("\n") >= MOST_LINES:
        why = f"A workout has at most {MOST_TEXT:,} characters and {MOST_LINES} lines."
        return Understood(text, "", None, (), (), (), (), (Remark(why, Span(0, len(text))),), ())
    talk = Talk(text, answers or {})
    reading = _Reading(talk, Scanner(words_of_language(language)))
    for start, end in _lines(text):
        reading.line(start, end)
    return reading.understood()


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


class _Reading:
    def __init__(self, talk: Talk, scanner: Scanner) -> None:
        self.talk = talk
        self.scanner = scanner
        self.drafter = Drafter(talk)
        self.began = False
        self.standards = False
        self.taken: list[Tok] = []

    def line(self, start: int, end: int) -> None:
        """One line of the text."""
        text = self.talk.text
        if not text[start:end].strip():
            self.standards = False
            self.drafter.blank()
            return
        if end - start > MOST_LINE:
            self.talk.red(Span(start, end), f"A line has at most {MOST_LINE} characters.")
            return
        toks = self._words(start, end)
        if not self.began and toks and not self._title(toks, start, end):
            label = LABEL.match(text, start, end)
            if label and label.end() < end and text[label.end() : end].strip():
                self.drafter.draft.title = text[start : label.end()].strip(" \t#*.:=,–—-")
                start = label.end()
                toks = self._words(start, end)
            toks = self._titled(toks)
        elif not self.began:
            toks = []
        if toks and not self._label(toks, start, end):
            self._sentences(toks, start, end)
        self.began = True

    def _words(self, start: int, end: int) -> list[Tok]:
        """The words of a stretch of the text, classified."""
        text = self.talk.text
        known = list(with_texts(text, self.scanner.read(pieces(text, start, end))))
        for tok, meant in self.scanner.misspelt:
            self.talk.assume(f"“{text[tok.start : tok.end]}” is read as “{meant}”.", Span(tok.start, tok.end))
        self.scanner.misspelt.clear()
        return list(with_texts(text, chunks(known)))

    def _titled(self, toks: list[Tok]) -> list[Tok]:
        """What is left of a first line when its first sentence is a title of words alone."""
        stop = next((place for place, tok in enumerate(toks) if tok.kind == "STOP"), 0)
        first = toks[:stop]
        if not first or not self._title(first, first[0].start, first[-1].end):
            return toks
        return toks[stop:]

    def _label(self, toks: list[Tok], start: int, end: int) -> bool:
        """A line that begins with what it is about: a title, notes, standards, a version."""
        first, second = toks[0], toks[1].kind if len(toks) > 1 else ""
        labelled = second in ("COLON", "") or (second == "UNKNOWN" and ":" in self.talk.text[start:end])
        if first.kind == "TITLE" and second == "COLON":
            self.drafter.draft.title = self.talk.text[toks[1].end : end].strip()
            return True
        if self.standards or (first.kind in ("NOTED", "STANDARD") and labelled):
            self.standards = first.kind == "STANDARD" or self.standards
            self.talk.kept.append(Remark(self.talk.text[start:end].strip(), Span(start, end)))
            return True
        return self._version(toks, start, end)

    def _title(self, toks: list[Tok], start: int, end: int) -> bool:
        """The first line is the title if it is words alone, or `Event 3` and words."""
        said = self.talk.text[start:end].strip(' \t#*:-"“”')
        numbered = NUMBERED.search(said)
        rest = said[: numbered.start()] + said[numbered.end() :] if numbered else said
        kinds = WORDS_OF_TITLE | ({"BARE", "COUNT"} if numbered else set())
        if any(tok.kind not in kinds or tok.key for tok in toks) or any(sign.isdigit() for sign in rest):
            return False
        if not numbered and any(tok.kind == "PROSE" for tok in toks):
            return False
        self.drafter.draft.title = self.talk.text[start:end].strip(' \t#*:"“”')
        return True

    def _version(self, toks: list[Tok], start: int, end: int) -> bool:
        """`Men: 43 kg`, `Scaled: 30/20 kg`: a load for one version."""
        names = {"MEN": "Men", "WOMEN": "Women", "RX": "Rx", "SCALED": "Scaled"}
        if toks[0].kind not in names:
            return False
        rest = [tok for tok in toks if tok.kind not in ("COLON", "COMMA", "AND", "SLASH", "AT")]
        pairs = list(zip(rest[::2], rest[1::2], strict=False))
        if len(rest) % 2 == 0 and all(who.kind in names and load.kind == "LOAD" for who, load in pairs):
            for who, load in pairs:
                self.drafter.draft.version_loads.append((names[who.kind], load))
            self.taken += rest
            return True
        if len(rest) == 2 and rest[0].kind in ("RX", "SCALED") and rest[1].kind == "LOAD":
            return False
        if [tok.kind for tok in rest] == ["RX"]:
            return True
        self.talk.cannot(
            Span(start, end),
            f"“{self.talk.text[start:end].strip()}”: other work for one version is set in the event, as a variant.",
        )
        return True

    def _sentences(self, toks: list[Tok], start: int, end: int) -> None:
        """The whole line, or where the grammar has no such line, sentence by sentence, so that only the odd one stands in red."""
        toks = [tok for sentence in _sentences(toks) if not self._told_beside(sentence) for tok in sentence]
        for tok in toks:
            if tok.kind == "PROSE":
                self._keep([tok])
        toks = [tok for tok in toks if tok.kind != "PROSE"]
        if not toks:
            return
        whole = parsed(toks)
        if whole is not None:
            self._say(toks, whole)
            return
        if toks[0].kind == "TIE":
            self.talk.cannot(Span(start, end), f"“{self.talk.text[start:end].strip()}”: such a tie can't be said yet.")
            return
        for sentence in _split(toks):
            said = parsed(sentence)
            if said is None:
                self.talk.unknown(Span(sentence[0].start, sentence[-1].end), NOT_KNOWN)
            else:
                self._say(sentence, said)

    def _told_beside(self, sentence: list[Tok]) -> bool:
        """A sentence that says nothing of the workout, or how a movement that is done is judged, is kept beside the event."""
        kinds = {tok.kind for tok in sentence if tok.kind != "STOP"}
        if not kinds:
            return True
        if not kinds <= OF_A_STANDARD or any(tok.values or (tok.kind == "UNKNOWN" and tok.key) for tok in sentence):
            return False
        said = self.talk.text[sentence[0].start : sentence[-1].end]
        if any(sign.isdigit() for sign in said) or self.scanner.decides(said):
            return False
        done = {work.key for stretch in self.drafter.draft.stretches for work in stretch.works}
        standard = [tok.kind for tok in sentence[:2]] == ["MOVE", "COLON"] and len(kinds) > 2 and sentence[0].key in done
        if not standard and not (kinds <= WORDS_OF_TALK and "PROSE" in kinds and not self.drafter.wants_things):
            return False
        self._keep([tok for tok in sentence if tok.kind != "STOP"])
        return True

    def _keep(self, toks: list[Tok]) -> None:
        span = Span(toks[0].start, toks[-1].end)
        self.talk.kept.append(Remark(self.talk.text[span.start : span.end], span))

    def _say(self, toks: list[Tok], statements: list[Statement]) -> None:
        lonely = [one for one in statements if one.rule != "sep"]
        if (
            lonely
            and all(one.rule == "work" and all(tok.kind == "UNKNOWN" and not tok.key for tok in one.toks) for one in lonely)
            and not self.drafter.wants_things
        ):
            self.talk.unknown(Span(toks[0].start, toks[-1].end), NOT_KNOWN)
            return
        if lonely and lonely[0].rule == "tie" and not any(one.rule == "tie_step" for one in lonely):
            span = Span(toks[0].start, toks[-1].end)
            self.talk.cannot(span, f"“{self.talk.text[span.start : span.end]}”: such a tie can't be said yet.")
            return
        self.taken += toks
        self.drafter.line(statements)

    def understood(self) -> Understood:
        """The event, once every line is read."""
        draft, talk = self.drafter.draft, self.talk
        things = Things(draft, talk)
        place_loose(draft, talk)
        self._who(things)
        clock, format = Clock(things), None
        try:
            clock = on_the_clock(things)
            format = self._format(clock)
        except ValidationError as wrong:
            said = str(wrong.errors()[0]["msg"]).removeprefix("Value error, ")
            self.talk.red(Span(0, len(self.talk.text)), f"This does not fit together: {said}")
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
        )

    def _who(self, things: Things) -> None:
        draft = things.draft
        members = [
            number
            for one in draft.stretches
            for who in (one.who, one.holder, *(work.who for work in one.works))
            for number in who or ()
        ]
        if draft.members is None and members:
            draft.members = max(2, *members)
            self.talk.assume(f"An entry has {draft.members} members, as they are named.")
        in_step = any(work.sync for stretch in draft.stretches for work in stretch.works)
        if draft.members is None and (in_step or draft.style not in ("", "ALLTOGETHER")):
            asked = "How many make an entry is not said."
            draft.members = self.talk.count("members", draft.style_span, asked, (2, 3, 4))
        if draft.members is None:
            self.talk.assume("Each athlete works alone: no pair and no team is named.")

    def _format(self, clock: Clock) -> Format | None:
        if not clock.windows or not clock.tasks:
            if not self.talk.not_understood:
                self.talk.red(Span(0, len(self.talk.text)), "No work was found in this.")
            return None
        made = Format(
            members=clock.draft.members or 1,
            unit=clock.things.unit(),
            movements=clock.things.movements,
            tasks=clock.tasks,
            windows=tuple(clock.windows),
            scores=scores_of(clock),
        )
        return self._with_version(clock, made.model_copy(update=NEW_EVENT))

    def _with_version(self, clock: Clock, made: Format) -> Format:
        """The other version, where the text has two numbers for one thing."""
        names = version_names(clock.draft, self.talk)
        if not names:
            return made
        other = on_the_clock(Things(clock.draft, self.talk, pick=1))
        tasks = {key: task for key, task in other.tasks.items() if key in made.tasks and made.tasks[key] != task}
        used = {key for key, movement in other.things.movements.items() if made.movements.get(key) != movement}
        if set(other.tasks) != set(made.tasks) or other.windows != list(made.windows):
            self.talk.red(Span(0, len(self.talk.text)), "The two versions differ in more than numbers.")
            return made
        tasks = {key: _as_scored(made, key, task) for key, task in tasks.items()}
        movements = {key: other.things.movements[key] for key in used}
        self.talk.assume(f"The event as written is for: {names[0]}. Which division does “{names[1]}” is chosen beside the event.")
        ranked = RANKED.get(names[1], "with")
        variant = Variant.model_validate(
            {"id": key_of(names[1]), "name": names[1], "ranked": ranked, "movements": movements, "tasks": tasks}
        )
        return made.model_copy(update={"variants": (variant,)})

    def _numbers(self) -> Iterator[Remark]:
        """Every number that was taken, and as what."""
        for tok in self.taken:
            if tok.values and tok.kind in MEANINGS:
                yield Remark(MEANINGS[tok.kind], Span(tok.start, tok.end))


def _as_scored(made: Format, key: str, task: Task) -> Task:
    """What an answer about the score has changed in a task goes for its other version too."""
    first = made.tasks[key]
    if isinstance(first, CountTask) and first.miss_puts_out:
        return task.model_copy(update={"miss_puts_out": True})
    return task


def _sentences(toks: list[Tok]) -> list[list[Tok]]:
    """A line's sentences, each with its stops."""
    found: list[list[Tok]] = [[]]
    for tok in toks:
        if found[-1] and found[-1][-1].kind == "STOP" and tok.kind != "STOP":
            found.append([])
        found[-1].append(tok)
    return found


def _split(toks: list[Tok]) -> list[list[Tok]]:
    """A line's sentences."""
    found: list[list[Tok]] = [[]]
    for tok in toks:
        if tok.kind == "STOP":
            found.append([])
        else:
            found[-1].append(tok)
    return [sentence for sentence in found if sentence]


MEANINGS = {
    "COUNT": "repetitions",
    "BARE": "a number",
    "TIMES": "how often",
    "REPS": "repetitions",
    "LENG": "a distance",
    "CALS": "calories",
    "DUR": "a time",
    "PRIMED": "a time",
    "DURS": "times",
    "SIZE": "a size",
    "LOAD": "a load",
    "PAIRNUM": "two numbers",
    "SCHEME": "a scheme of repetitions",
    "SPAN": "from when to when",
    "ROUNDS": "rounds",
    "SETS": "rounds",
    "WINDOWS": "windows",
    "ATTEMPTS": "attempts",
    "EMOM": "minutes",
    "TEAMS": "members",
    "MEMBER": "a member",
    "MINUTE": "which window",
    "NRM": "repetitions of a lift",
    "WORTH": "what it is worth",
}
