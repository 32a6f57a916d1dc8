"""The lines of a written workout one after another: titles, notes, standards and versions are told from what is done."""

from app.rules.reading.doubts import works
from app.rules.reading.layout.members_across import by_members, members_of
from app.rules.reading.layout.rounds_across import Across, across, add_row
from app.rules.reading.layout.rounds_down import Down, add_round, down
from app.rules.reading.layout.tables import LEAST_HEADINGS, apart, cells_of, headings, row
from app.rules.reading.layout.timeline import OVER_AT, spanned, timeline
from app.rules.reading.layout.wrapped import together
from app.rules.reading.of_rounds import SaysOfRounds
from app.rules.reading.scan.addressed import VERSIONS, asked, is_heading, without_address
from app.rules.reading.scan.again.day import is_equipment
from app.rules.reading.scan.chunks import chunks
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.scanning import Scanner, with_texts
from app.rules.reading.scan.sentence_ends import (
    HEADS,
    going_on,
    loads_in_two,
    sentences_of,
    with_misses,
    with_sentences,
)
from app.rules.reading.scan.talk_kinds import weighs
from app.rules.reading.scan.tie_points import with_points
from app.rules.reading.scan.told_shortly import question_apart
from app.rules.reading.talk import Remark, Span, Talk
from app.rules.reading.titled import NAMED
from app.rules.reading.versions.legends import without_legends

MOST_LINE = 1500


class Lines(SaysOfRounds):
    """Takes a text line by line; what it says is in `drafter`, what was taken in `taken`."""

    def __init__(self, talk: Talk, scanner: Scanner, beside: frozenset[Span] = frozenset()) -> None:
        super().__init__(talk, scanner, beside)
        self.began = False
        self.standards = False
        self.columns: list[str] = []  # of the table that is being read
        self.across: Across | None = None  # a table with a column for each round, while it is read
        self.down: Down | None = None  # a table with a row for each round, while it is read
        self.by_members: dict[int, Tok] | None = None  # the columns of a table with one for each member
        self.timeline = timeline(talk.text)
        self.heading: list[Tok] = []  # a line that says what the next one is about, and no more

    def line(self, start: int, end: int) -> None:
        """One line of the text."""
        text = self.talk.text
        if not text[start:end].strip():
            self.standards = False
            self._end_across()
            self.drafter.blank()
            return
        if end - start > MOST_LINE:
            self.talk.red(Span(start, end), f"A line has at most {MOST_LINE} characters.")
            return
        if self._in_table(start, end):
            return
        start = self._named_in_quotes(start, end)
        toks = self.words(start, end)
        first, last = self.timeline.get(start, (0, 0))
        if last == OVER_AT:  # `14:00 end`
            self.talk.set_aside(Span(start, end))
            return
        toks = spanned(toks, first, last) if last else toks
        if not toks:
            self._of_glue_alone(start, end)
        elif not (toks := self._without_legends(toks)):
            return
        if self._heads(toks, start, end) or self._titled_later(toks, start, end):
            return
        if not self.began and toks and not self._title(toks, start, end):
            if (behind := self.label_ends(start, end)) > start:
                self.drafter.draft.title = text[start:behind].strip(" \t#*.:=,–—-")
                named = NAMED.match(text, behind, end)
                start = named.end() if named and named.end() < end else behind
                toks = self.words(start, end)
            toks = self._titled(toks)
        elif not self.began:
            toks = []
        self.began = True
        toks = self._rounds_by_name(self._without_address(toks))
        if toks and not self._label(toks, start, end) and not self._headed(toks):
            self._under_heading(toks)

    def _without_legends(self, toks: list[Tok]) -> list[Tok]:
        """A line without what tells whose all numbers are."""
        toks, told = without_legends(toks)
        self.drafter.draft.legends += told
        return toks

    def _heads(self, toks: list[Tok], start: int, end: int) -> bool:
        """`Loads` alone in a line: it says what stands below, and no more."""
        if not self.began or not is_heading(self.talk.text, toks, self.scanner.words.small_talk.sets["heads"]):
            return False
        self.talk.set_aside(Span(start, end))
        return True

    def _in_table(self, start: int, end: int) -> bool:
        """A row of headings, or a row under one that fits it."""
        cells = cells_of(self.talk.text, start, end)
        if self.across and add_row(self.across, cells, self.words):
            return True
        self._end_across()
        if len(cells) < LEAST_HEADINGS:
            self.columns, self.by_members, self.down = [], None, None
            return False
        if self.down is not None and (toks := add_round(self.down, cells, self.words)):
            self._sentences(toks)
            return True
        self.down = down(self.talk.text, cells, self.scanner.words.columns, self.words)
        if self.down is not None:
            self.columns, self.began = [], True
            return True
        if (table := across(self.talk.text, cells)) is not None:
            self.across, self.columns, self.began = table, [], True
            return True
        self.by_members = self.by_members or members_of(self.talk.text, cells)
        if self.by_members is not None:
            if (rows := by_members(self.talk.text, self.by_members, cells, self.words)) is None:
                self.began, self.columns = True, []
                return True
            for toks in rows:
                self._sentences(toks)
            if not rows:
                self.talk.red(Span(start, end), "What each of them does in this row is not clear.")
            return True
        if told := headings(self.talk.text, cells, self.scanner.words.columns, self.groups.named):
            self.columns, self.began = told, True
            return True
        if not self.columns:
            return False
        if toks := row(cells, self.columns, self.words) or apart(cells, self.words):
            self._sentences(toks)
        return True

    def _end_across(self) -> None:
        """What a table with a column for each round has said, once it is over."""
        table, self.across = self.across, None
        for toks in table.sentences() if table else ():
            self._sentences(toks)

    def _headed(self, toks: list[Tok]) -> bool:
        """`Time cap` alone in a line goes with the next line."""
        words = [tok for tok in toks if tok.kind not in ("COLON", "DASH", "COMMA")]
        if [tok.kind in HEADS for tok in words] != [True]:
            return False
        self.end()
        self.heading = words
        return True

    def _under_heading(self, toks: list[Tok]) -> None:
        if self.heading and toks[0].kind == self.heading[0].kind:
            self.end()
        heading, self.heading = self.heading, []
        self._sentences([*heading, *toks])

    def end(self) -> None:
        """A heading under which nothing stands is read by itself."""
        self._end_across()
        heading, self.heading = self.heading, []
        if heading:
            self._sentences(heading)

    def words(self, start: int, end: int) -> list[Tok]:
        """The words of a stretch of the text, classified."""
        text, read = self.talk.text, self.scanner.lines
        if (start, end) not in read:
            known = list(with_texts(text, self.scanner.read(self._pieces(start, end))))
            slips, self.scanner.misspelt = self.scanner.misspelt, []
            read[start, end] = list(with_texts(text, chunks(known))), slips
        toks, slips = read[start, end]
        for tok, meant in slips:
            self.talk.assume(f"“{text[tok.start : tok.end]}” is read as “{meant}”.", Span(tok.start, tok.end))
        return list(toks)

    def _pieces(self, start: int, end: int) -> list[Tok]:
        raw = self.scanner.pieces(self.talk.text, start, end)
        return together(raw, self.talk.text, self.scanner.words.talk_spelling.known) if "\n" in self.talk.text[start:end] else raw

    def _label(self, toks: list[Tok], start: int, end: int) -> bool:
        """A line that begins with what it is about: a title, notes, standards, a version."""
        first, second = toks[0], toks[1].kind if len(toks) > 1 else ""
        labelled = second in ("COLON", "STOP", "") or (second == "UNKNOWN" and ":" in self.talk.text[start:end])
        if first.kind == "TITLE" and second == "COLON":
            self.drafter.draft.title = self.talk.text[toks[1].end : end].strip()
            return True
        if self.standards or (first.kind in ("NOTED", "STANDARD") and labelled):
            self.standards = first.kind == "STANDARD" or self.standards
            headed = first.kind in ("NOTED", "STANDARD") and labelled
            body = toks[1 + (second == "COLON") :] if headed else toks
            if is_equipment(self.talk.text[start:end].lstrip(" \t*•-"), self.scanner.words.again.rows):
                self.talk.doubted.append(Span(first.start, toks[-1].end))
                return True
            tip = first.kind == "NOTED" and self.scanner.words.small_talk.tip(self.talk.text[first.start : first.end])
            plain = [tok for tok in body if tok.kind != "STOP"]
            if plain and [tok.kind for tok in self._sense(plain) or ()] == ["LIFTBEGUN"]:
                self._sentences(body)
                return True
            bears = bool(body) and self.standards and self._bears_as_a_standard(body)
            if (weighs(body, first.kind == "NOTED") or bears) and not (tip and self._only_advice(body)):
                if not headed:
                    return self._version(toks, start, end)
                self._under_heading(body)
                return True
            self.talk.kept.append(Remark(self.talk.text[start:end].strip(), Span(start, end)))
            return True
        return self._version(toks, start, end)

    def _bears_as_a_standard(self, body: list[Tok]) -> bool:
        """Whether a line among standards says something else: `beginners get an extra minute`."""
        said, table = self._as_written(Span(body[0].start, body[-1].end)).casefold(), self.scanner.words.small_talk
        for phrase in table.sets["of_bodies"]:
            said = said.replace(phrase, "")
        if works(body) or table.bears(said, self.scanner.talked, standard=True) or table.is_ordered(said):
            return True
        return not table.is_of_a_rep(said, body)

    def _without_address(self, toks: list[Tok]) -> list[Tok]:
        """A line without whom it speaks to."""
        if len(toks) < 2 or toks[0].kind not in VERSIONS:
            return toks
        told = any(word in self.talk.text.casefold() for word in ("women", "girls", "ladies", "female"))
        left = without_address(toks, told)
        if len(left) < len(toks):
            self._keep(toks[: len(toks) - len(left)])
        return left

    def _attempt(self, sentence: list[Tok]) -> bool:
        plain = [tok for tok in sentence if tok.kind not in ("STOP", "COLON", "COMMA")]
        if [tok.kind for tok in plain] != ["ATTEMPT", "BARE", "SPAN"] or not plain[1].values[0].isdigit():
            return False
        first, last = (int(value) for value in plain[2].values)
        return self.drafter.attempt(int(plain[1].values[0]), first, last, Span(plain[0].start, plain[-1].end))

    def _parts(self, toks: list[Tok]) -> tuple[list[Tok], list[list[Tok]]]:
        """A line's words, those of a sentence that is read as a whole as one, and its sentences; questions apart."""
        about, text = tuple(toks), self.talk.text
        if about not in self.scanner.told:
            made = with_misses(text, with_points(text, with_sentences(text, toks)))
            parts = [part for one in sentences_of(made) for part in question_apart(text, one)]
            self.scanner.told[about] = made, parts
        return self.scanner.told[about]

    def _sentences(self, toks: list[Tok]) -> None:
        """Sentence by sentence, so that each knows what was said before it, and only the odd one stands in red."""
        toks, parts = self._parts(toks)
        self.drafter.timed_line = any(tok.kind == "FORTIME" for tok in toks)
        asks = self.scanner.words.small_talk.sets["asks"]
        told = [self._without_names(self._without_what_is_taken_back(one)) for one in parts]
        told = loads_in_two(self.talk.text, told, self.scanner.words.numbers)
        for nth, whole in enumerate(going_on(self.talk.text, told, self._of_the_rounds)):
            begun = asked(whole, asks)
            if begun is not None:
                self._keep(whole[:begun])
            sentence = whole[begun or 0 :]
            if not sentence or self._of_the_rounds(sentence) or self._tells_whose(sentence):
                continue
            if self._small_talk(sentence):
                self._keep([tok for tok in sentence if tok.kind != "STOP"])
                continue
            if self._farewell(sentence) or self._again_from_the_top(sentence):
                self._keep([tok for tok in sentence if tok.kind != "STOP"])
                continue
            sentence = self.without_small_talk(self._without_anew(sentence))
            if not sentence or self._was_put_beside(sentence):
                continue
            sentence = self._without_beside(sentence)
            sentence = self._goes_on(self._of_each_round(sentence))
            if not any(tok.kind != "STOP" for tok in sentence):
                continue
            begins = not nth and sentence[0].start == whole[0].start
            if self._version_told(sentence) or (begins and self._version_does(sentence)):
                continue
            if self._attempt(sentence) or self._members_start(sentence) or self._roster(sentence):
                continue
            if not (sentence := self._swapped(sentence)):
                continue
            said = sentence if self.of_the_capped(sentence) else self._by_sense(sentence)
            if not self._told_beside(said):
                self._sentence(said)
        self.drafter.end_line()
