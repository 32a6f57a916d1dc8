"""One sentence of a written workout after another: by its sense, by the grammar, clause by clause, or not understood."""

from dataclasses import replace

from app.rules.reading.doubts import works
from app.rules.reading.grammar import Statement, parsed
from app.rules.reading.scan.again.said import held_by_sense
from app.rules.reading.scan.frames.alone import framed_alone
from app.rules.reading.scan.frames.attempts_said import attempts
from app.rules.reading.scan.frames.blocks_said import head_of_a_block
from app.rules.reading.scan.frames.clock_said import clauses_told, head_by_the_clock
from app.rules.reading.scan.frames.intervals_said import intervals, of_each_window, the_thing
from app.rules.reading.scan.frames.ladders_said import goes_on, rungs_of
from app.rules.reading.scan.frames.minute_ladders import last_minute, minute_ladder
from app.rules.reading.scan.frames.work_and_rest import in_turn, number_of_things, without_amrap
from app.rules.reading.scan.pieces import Tok, words_in
from app.rules.reading.scan.scanning import Scanner
from app.rules.reading.scan.senses import by_sense, words_of_sense
from app.rules.reading.scan.told_shortly import (
    most_of_all,
    of_the_cap,
    rung,
    without_letters,
)
from app.rules.reading.talk import NOT_KNOWN, Span, Talk
from app.rules.reading.things import HELD
from app.rules.reading.titled import TellsTitles

# Words that the grammar may pass over where it has no place for them: whether they change anything is asked, but for fillers.
PASSABLE = {"UNKNOWN", "ASKS", "SIGN", "NOTE", "AT", "QUOTE", "PRIME", "DPRIME", "EVERY", "BETWEEN", "LPAR", "RPAR"}
# Numbers that say how often or how long, and what stands beside them, without anything that is done.
LONE = {"PROSE", "ROUNDS", "TIMES", "SETS", "DUR", "BETWEEN", "ROUND", "SET", "INTERVAL", "STOP", "COMMA", "LPAR", "RPAR"}


ONLY_A_LADDER = {"LADDER", "PROSE", "AND", "THEN", "COLON", "STOP", "COMMA"}
OF_SETTING_UP = {"PROSE", "UNKNOWN", "SET", "AND", "COMMA", "BAR"}
REST_OF_SO_LONG = 3  # words of the grammar: `rest`, `the remainder of`, `the 2 minutes`


class SaysSentences(TellsTitles):
    """Takes sentences; what they say is in `drafter`, what was taken in `taken`."""

    def __init__(self, talk: Talk, scanner: Scanner, beside: frozenset[Span] = frozenset()) -> None:
        super().__init__(talk, scanner, beside)
        self.taken: list[Tok] = []

    def _sentence(self, toks: list[Tok]) -> None:
        if {"LADDER", "PROSE"} <= {tok.kind for tok in toks} <= ONLY_A_LADDER:
            self._keep(toks)  # `And now the ladder.`: which it is says what follows
            return
        toks = self._without_a_rest_for_what_is_left(self._without_what_rest_is_for(toks))
        if self._bears(toks):
            self.talk.unknown(Span(toks[0].start, toks[-1].end), NOT_KNOWN)
            return
        if self._numbers_talk(toks):
            self.talk.unknown(Span(toks[0].start, toks[-1].end), NOT_KNOWN)
            return
        limits = self.scanner.words.small_talk.sets["limits"] if works(toks) else frozenset[str]()
        for at, tok in enumerate(toks):
            then = any(one.kind == "THEN" for one in toks[max(0, at - 2) : at])  # `then, once: cash-out of …`
            if tok.kind == "PROSE" and tok.text.casefold() in limits and not then:
                self.talk.doubted.append(Span(tok.start, tok.end))
            elif tok.kind == "PROSE":
                self._keep([tok])
        toks = _without_talk(toks)
        if not toks:
            return
        span = Span(min(tok.start for tok in toks), max(tok.end for tok in toks))
        said, passed = self._parsed(toks)
        if said is not None:
            for tok in passed:
                self._pass_over([tok], self.talk.text[span.start : span.end])
            self._say([tok for tok in toks if tok not in passed], said)
        elif self._by_clauses(toks):
            return
        elif toks[0].kind == "TIE":
            told = self.talk.text[span.start : span.end].strip()
            self.talk.cannot(span, f"“{told}”: such a tie can't be said yet.")
        else:
            stopped = toks[-1].kind == "STOP" and len(toks) > 1
            self.talk.unknown(Span(span.start, toks[-2].end if stopped else span.end), NOT_KNOWN)

    def _without_what_rest_is_for(self, toks: list[Tok]) -> list[Tok]:
        """`2 minutes to lie on the floor and question your choices`: what else is done in a rest, as talk has it."""
        kinds = [tok.kind for tok in toks]
        at = kinds.index("REST") + 1 if "REST" in kinds else len(kinds)
        ends = len(kinds) - (kinds[-1:] == ["STOP"])
        tail = toks[at:ends]
        said = self.talk.text[tail[0].start : tail[-1].end] if tail else ""
        idle = [tok.kind for tok in tail] == ["AND", *["PROSE"] * (len(tail) - 1)] and len(tail) > 1
        told = set(kinds[: at - 1]) <= {"THEN", "DUR", "PROSE", "COMMA"} and kinds[at - 2 : at] == ["DUR", "REST"]
        set_up = self._sets_up(tail) and set(kinds[: at - 1]) <= {"THEN", "DUR", "PROSE", "COMMA", "COLON", "SPAN"}
        if not set_up and (not idle or not told or self.scanner.decides(said) or self.scanner.denies(said)):
            return toks
        self._keep(tail)
        return [*toks[:at], *toks[ends:]]

    def _sets_up(self, tail: list[Tok]) -> bool:
        """`Rest, set up your bar`: what stands behind it says only what a rest is used for."""
        senses, toks = self.scanner.words.senses, tail[1:]
        if not toks or tail[0].kind not in ("COMMA", "AND") or not {tok.kind for tok in toks} <= OF_SETTING_UP:
            return False
        words = words_in(self.talk.text[toks[0].start : toks[-1].end])
        plain = not any(tok.values or tok.key for tok in toks) and senses.any(words, "setting_up", "rest")
        return plain and senses.all(words, "rest", "of_rest", "setting_up")

    def _without_a_rest_for_what_is_left(self, toks: list[Tok]) -> list[Tok]:
        """`10 burpees, then rest the remainder of the 2 minutes`: as a sentence of its own, which may say what windows say."""
        kinds = [tok.kind for tok in toks]
        ends = len(kinds) - (kinds[-1:] == ["STOP"])
        at = next((place for place in range(ends - 1, -1, -1) if kinds[place] == "COMMA"), 0)
        tail = [tok for tok in toks[at + 1 : ends] if tok.kind not in ("AND", "THEN")]
        left = [tok.kind for tok in tail[:2]] == ["REST", "LEFTOF"] and len(tail) <= REST_OF_SO_LONG
        if not at or not left:
            return toks
        self.talk.doubted.append(Span(toks[at + 1].start, toks[ends - 1].end))
        return [*toks[:at], *toks[ends:]]

    def _parsed(self, toks: list[Tok]) -> tuple[list[Statement] | None, list[Tok]]:
        """What the grammar makes of these words; a text is read several times, and most of its sentences are the same again."""
        about = tuple(toks)
        if about not in self.scanner.parsed:
            self.scanner.parsed[about] = parsed(toks, PASSABLE if works(toks) else frozenset())
        return self.scanner.parsed[about]

    def _numbers_talk(self, toks: list[Tok]) -> bool:
        """`Wipe the floor ten times.`: whether a number of times, or a time, may be that of something told in talk."""
        kinds = {tok.kind for tok in toks}
        if "PROSE" not in kinds or not kinds <= LONE or not any(tok.values for tok in toks):
            return False
        table = self.scanner.words.small_talk
        return not all(table.idles(self.talk.text[tok.start : tok.end]) for tok in toks if tok.kind == "PROSE")

    def _by_clauses(self, toks: list[Tok]) -> bool:
        """A sentence that is no statement as a whole, clause by clause: what is none of them stands in red. Not where something
        is denied in it, or a condition said: that goes for all of it."""
        clauses = _split([tok for tok in toks if tok.kind != "STOP"], "COMMA")
        said = self.talk.text[toks[0].start : toks[-1].end]
        table = self.scanner.words.small_talk
        if len(clauses) < 2 or table.denies(said) or table.conditional(said) or self.scanner.denies(said):
            return False
        read = [(clause, self._sense(clause) or clause) for clause in clauses]
        told = [(clause, self._parsed(made)) for clause, made in read]
        if not any(said is not None for _, (said, _) in told):
            return False
        for clause, (statements, passed) in told:
            if statements is None:
                self.talk.unknown(Span(clause[0].start, clause[-1].end), NOT_KNOWN)
                continue
            for tok in passed:
                self._pass_over([tok], said)
            self._say([tok for tok in clause if tok not in passed], statements)
        return True

    def _goes_on(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without what it says of how a ladder goes on."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        if plain and self._climbs(plain):
            self.taken += plain
            return []
        left = goes_on(self.talk.text, plain, self.drafter.draft) if plain else None
        if left is None:
            return sentence
        self.drafter.known_now, self.drafter.last = None, None
        self.taken += [tok for tok in plain if tok not in left]
        return left

    def _climbs(self, plain: list[Tok]) -> bool:
        """What a sentence says of a ladder of minutes: all of it, how it goes on, or which minute is the last."""
        numbers, draft = self.scanner.words.numbers, self.drafter.draft
        here = draft.stretches[-1] if draft.stretches else None
        before = rungs_of(here) if here else ()
        told = minute_ladder(self.talk.text, plain, numbers, before)
        span = Span(plain[0].start, plain[-1].end)
        if told is not None and self.drafter.climb(told, span):
            return True
        if here is None or not here.adds or here.total is not None or here.count is not None or not before:
            return False
        last = last_minute(self.talk.text, plain, numbers, before[0], here.adds)
        if last is None:
            return False
        here.total, here.spans = last * (here.seconds or 60), [*here.spans, span]
        return True

    def _by_sense(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence that is told by its sense, in the grammar's words for it; else as it stands."""
        stops = [tok for tok in sentence if tok.kind == "STOP"]
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        if not plain:
            return sentence
        last = self.drafter.last or self.drafter.named_alone()
        named = Tok("MOVE", 0, 0, "", key=last.key, name=last.name) if last is not None and last.known else None
        if [tok.kind for tok in plain if tok.kind != "COLON"] == ["MINUTE", "LOAD"]:
            return [*self._loaded_minute(plain), *stops]
        if (rungs := rung(plain, named)) is not None:
            self.drafter.only_named(last)
            return [*rungs, *stops]
        text = self.talk.text
        if (headed := head_of_a_block(text, plain) or head_by_the_clock(text, plain)) is not None:
            head, behind = headed
            left = self._by_sense(plain[behind:]) if behind < len(plain) else []
            return [*head, *left, *stops] if left != plain[1:] or head != plain[:1] else [*plain, *stops]
        plain = in_turn(clauses_told(text, plain) or plain)
        about = tuple(plain)
        if about not in self.scanner.framed:
            self.scanner.framed[about] = framed_alone(text, plain)
        if (told := self.scanner.framed[about]) is not None:
            return [*told, *stops]
        again, known = self.scanner.words.again, self.drafter.done_or_held
        if told := of_the_cap(text, plain) or held_by_sense(text, plain, again, known):
            return [*told, *stops]
        plain = without_letters(plain)
        about = tuple(plain)
        if about not in self.scanner.in_windows:
            self.scanner.in_windows[about] = intervals(text, plain, self.scanner.words.small_talk.fills, HELD)
        framed = self.scanner.in_windows[about] or attempts(text, plain, self._attempts_before())
        if framed:
            return [*framed, *stops]
        made = self._sense(plain) or self._clauses(plain)
        return [*made, *stops] if made else [*self._of_each(plain), *stops]

    def _loaded_minute(self, plain: list[Tok]) -> list[Tok]:
        """`Min 2: 60 kg`, where each minute has one clean: so many of it with that load."""
        thing = self.drafter.in_each_minute()
        if thing is None or thing.amount is None:
            return plain
        minute, load = plain[0], plain[-1]
        count = minute.to(minute, "COUNT", start=minute.end, values=thing.amount.values)
        return [minute, count, replace(count, kind="MOVE", values=(), key=thing.key, name=thing.name, text=""), load]

    def tries_again(self, span: Span, plain: list[Tok]) -> bool:
        """Whether a sentence that was put beside has a sense now that others stand there too: what it says of the score may have
        been in doubt for their sake."""
        scanner = self.scanner
        if not scanner.tries_again or span in scanner.in_vain or self._sense(plain) is None:
            return False
        scanner.tried_again.add(span)
        return True

    def _attempts_before(self) -> int | None:
        """How many attempts at a lift were told, and not yet how long each is."""
        here = self.drafter.draft.stretches[-1:]
        return here[0].attempts if here and here[0].kind == "lift" and here[0].seconds is None else None

    def _of_each(self, toks: list[Tok]) -> list[Tok]:
        """What is done in each of the windows that were told before, without the words that say only that."""
        here = self.drafter.draft.stretches[-1:]
        told = (
            here and here[0].start is None and (here[0].kind in ("windows", "every") or (here[0].seconds and not here[0].works))
        )
        if not told:
            return toks
        toks = without_amrap(toks) if here[0].kind == "amrap" else toks
        begun = bool(here[0].works) or here[0].kind not in ("windows", "every")
        if here[0].kind == "windows" and not begun:
            toks = number_of_things(toks)
        return the_thing(self.talk.text, of_each_window(self.talk.text, toks, here[0].seconds, begun))

    def _sense(
        self, toks: list[Tok], lifted: frozenset[str] = frozenset(), told: frozenset[int] = frozenset()
    ) -> list[Tok] | None:
        """A sentence or a clause by its sense; `lifted` are lifts, `told` how long it is, that are told beside it."""
        said, place = self.talk.text[toks[0].start : toks[-1].end], (toks[0].start, toks[-1].end, len(toks))
        if place not in self.scanner.sensible:
            self.scanner.sensible[place] = words_of_sense(said, toks, self.scanner.words.senses, self.scanner.spelt)
        words = self.scanner.sensible[place]
        if not words:
            return None
        known = self.drafter.known()
        if told:
            known = replace(known, seconds=known.seconds | told)
        if lifted:
            known = replace(known, done=known.done | lifted, lifts=known.lifts | lifted)
        about = (*place, known)
        if about not in self.scanner.sensed:
            self.scanner.sensed[about] = by_sense(said, toks, words, self.scanner.words.senses, known)
        return self.scanner.sensed[about]

    def _clauses(self, toks: list[Tok]) -> list[Tok] | None:
        """A sentence of which one clause is told by its sense, and the others say nothing, or stand as they are."""
        parts = [clause for clause in _split(toks, "COMMA") if clause]
        heavy = any(tok.kind == "HEAVY" for tok in toks)
        lifted = frozenset(tok.key for tok in toks if heavy and tok.kind == "MOVE")
        alone = [clause[0] for clause in parts if [tok.kind for tok in clause] == ["DUR"] and len(clause[0].values) == 1]
        told = frozenset(int(tok.values[0]) for tok in alone)
        named = [lifted & {tok.key for tok in clause} for clause in parts]
        senses = [
            most_of_all(clause) or (None if at else self._sense(clause, lifted, told))
            for clause, at in zip(parts, named, strict=True)
        ]
        if len(parts) < 2 or not any(senses):
            return None
        denied = any(tok.kind == "UNCOUNTED" for made in senses if made for tok in made)
        if denied and not all(senses):
            return None  # `the burpees don't count, but for the last`
        found: list[Tok] = []
        for clause, made in zip(parts, senses, strict=True):
            if made is None and self._says_nothing(clause):
                self._keep(clause)
            elif made is None and self.scanner.denies(self.talk.text[clause[0].start : clause[-1].end]):
                return None
            else:
                found += [*([found[-1].to(clause[0], "COMMA", values=())] if found else []), *(made or clause)]
        return found

    def _say(self, toks: list[Tok], statements: list[Statement]) -> None:
        lonely = [one for one in statements if one.rule != "sep"]
        if (
            lonely
            and all(one.rule == "work" and all(tok.kind == "UNKNOWN" and not tok.key for tok in one.toks) for one in lonely)
            and not self.drafter.wants_things
        ):
            self.talk.unknown(Span(toks[0].start, toks[-1].end), NOT_KNOWN)
            return
        rules = {one.rule for one in lonely}
        if "tie_step" in rules and "tie" not in rules and not self.drafter.draft.ties:  # `10 deadlifts (bodyweight)`
            self.talk.unknown(Span(toks[0].start, toks[-1].end), NOT_KNOWN)
            return
        if "tie" in rules and ("tie_step" not in rules or (lonely[0].rule == "tie" and rules - {"tie", "tie_step", "score"})):
            span = Span(toks[0].start, toks[-1].end)
            self.talk.cannot(span, f"“{self.talk.text[span.start : span.end]}”: such a tie can't be said yet.")
            return
        self.taken += toks
        self.drafter.line(statements)


def _without_talk(toks: list[Tok]) -> list[Tok]:
    """What is left without ordinary talk, and without an `at` before it."""
    kinds = [*(tok.kind for tok in toks), ""]
    return [tok for at, tok in enumerate(toks) if tok.kind != "PROSE" and kinds[at : at + 2] != ["AT", "PROSE"]]


def _split(toks: list[Tok], at: str = "STOP") -> list[list[Tok]]:
    """A line's sentences, or a sentence's clauses."""
    found: list[list[Tok]] = [[]]
    for tok in toks:
        if tok.kind == at:
            found.append([])
        else:
            found[-1].append(tok)
    return [sentence for sentence in found if sentence]
