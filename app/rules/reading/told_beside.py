"""What is told beside the event: ordinary talk, and how a movement that is done is judged. It is kept under the text."""

import functools
import re
from bisect import bisect_left
from itertools import pairwise

from app.rules.reading.doubts import Told
from app.rules.reading.drafting.drafter import Drafter
from app.rules.reading.scan.again.anew import anew_behind, says_anew
from app.rules.reading.scan.again.saying import saying
from app.rules.reading.scan.pieces import Tok, words_in
from app.rules.reading.scan.scanning import Scanner
from app.rules.reading.talk import Span, Talk
from app.rules.workout.formats import Format

# What may stand in a sentence that says nothing of the workout.
WORDS_OF_TALK = {
    *("UNKNOWN", "SEC", "PROSE", "COLON", "COMMA", "QUOTE", "DPRIME", "NOTE", "AND", "MEMBERA"),
    *("MEMBERB", "BOTH", "ALLTOGETHER", "NOREP"),
}
OF_THE_CAPPED = WORDS_OF_TALK | {"THEN", "CAP", "REP", "T_REPS", "CAPREPS", "SCORE", "AT", "TIE", "IN", "T_TIME"}
NOT_DONE = {"make", "finish", "finished", "cap", "capped", "limit"}
AHEAD, DID = {"ahead", "behind", "below", "above"}, {"did", "got", "managed"}
NOT_OF_THE_CAPPED = {"second", "seconds", "penalty", "double", "twice", "half", "minus", "plus", "extra", "add", "adds", "out"}
OF_A_STANDARD = WORDS_OF_TALK | {"MOVE", "TARGET", "SLASH", "AT", "HOLD", "UNBROKEN", "SYNC", "EACHSIDE", "COMPLEX"}
OF_A_COMPLEX = {"COMPLEX", "UNBROKEN", "PROSE", "AND", "COMMA", "COLON"}  # `the complex is performed without letting go`
LETS_NOT_GO = re.compile(r"\bunbroken\b|\bwithout (?:letting|dropping|putting)\b|\bnot be (?:dropped|put)\b", re.IGNORECASE)
COUNTED_BY = ("BARE", "COUNT", "CALS", "LENG", "REPS", "MAX", "COMMA", "AND", "THEN")
# With one of these a sentence says something by itself, be there talk in it or not.
EDGES = "\n.!?;:,()|–—"
EDGE = re.compile(f"[{re.escape(EDGES)}]")
SAYS_MORE = {
    *("SCORE", "TIE", "SPLIT", "SYNC", "MAX", "AMRAP", "FORTIME", "BELL", "FAIL", "REST"),
    *("OFF", "ON", "HEAVY", "NOCAP", "FREE"),
}
WORDS_OF_A_NAME, LINES_OF_A_FAREWELL, LEAST_OF_GLUE = 3, 3, 4  # the last of a heading: `the third workout is`
NTH = re.compile(r"\b(?:second|third|fourth|next)\s*$", re.IGNORECASE)
OF_THE_BEST = {"BESTCOUNTS", "LOWCOUNTS", "T_BEST", "T_LOW", "T_LOAD", "T_HEAVIEST", "HEAVY"}
ENDS_IT = re.compile(
    r"\b(?:who|whoever|any(?:one|body))\b.*\b(?:is|are|was)\s+(?:done|over|gone|through)\W*$|\b(?:two|both)\b.*\bare\s+gone\W*$",
    re.I,
)


class TellsBeside:
    """Knows which sentences say nothing of the workout where they stand."""

    def __init__(self, talk: Talk, scanner: Scanner, beside: frozenset[Span] = frozenset()) -> None:
        """`beside`: sentences that were not understood when the text was read before."""
        self.beside = beside
        self.told: list[Told] = []
        self.talk = talk
        self.scanner = scanner
        self.drafter = Drafter(talk)

    def _told_beside(self, sentence: list[Tok]) -> bool:
        """A sentence that says nothing of the workout, or how a movement that is done is judged, is kept beside the event."""
        kinds = {tok.kind for tok in sentence if tok.kind != "STOP"}
        if not kinds:
            return True
        written = self._as_written(Span(sentence[0].start, sentence[-1].end))
        of_a_complex = kinds <= OF_A_COMPLEX and self.drafter.in_a_complex and LETS_NOT_GO.search(written)
        if self.of_the_capped(sentence) or self._small_talk(sentence) or of_a_complex:
            self._keep([tok for tok in sentence if tok.kind != "STOP"])
            return True
        if self._ends_it(sentence):
            return False
        if not kinds <= OF_A_STANDARD or any(tok.values or (tok.kind == "UNKNOWN" and tok.key) for tok in sentence):
            return False
        said = self.talk.text[sentence[0].start : sentence[-1].end]
        if any(sign.isdigit() for sign in said) or self.scanner.decides(said):
            return False
        table = self.scanner.words.small_talk
        if table.bears(said, self.scanner.talked, standard=bool(kinds & {"MOVE", "NOREP"})) or table.orders(said):
            return False
        done = {work.key for stretch in self.drafter.draft.stretches for work in stretch.works}
        standard = [tok.kind for tok in sentence[:2]] == ["MOVE", "COLON"] and len(kinds) > 2 and sentence[0].key in done
        talk = bool(kinds & {"PROSE", "NOREP"}) or self.scanner.talks(said)
        if not standard and table.hinges(self._as_written(Span(sentence[0].start, sentence[-1].end))):
            return False
        if not standard and not (kinds <= WORDS_OF_TALK | {"COMPLEX"} and talk and not self.drafter.wants_things):
            return False
        self._keep([tok for tok in sentence if tok.kind != "STOP"])
        return True

    def _was_put_beside(self, sentence: list[Tok]) -> bool:
        """Whether a sentence is passed over: nothing in it could change the event, or whether it does is asked at the end."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        if not plain:
            return False
        span, table = Span(plain[0].start, plain[-1].end), self.scanner.words.small_talk
        said = self._as_written(span)
        if span not in self.beside or self.tries_again(span, plain):
            together = table.denies(said) or table.conditional(said) or self.scanner.denies(said)
            self.told.append(Told(span, tuple(plain), table.speaks(said), together, table.of_the_day(said, plain)))
            return False
        if table.changes_nothing(said, plain, self.scanner.talked):
            self.talk.set_aside(span)
        else:
            self.talk.doubted.append(span)
        return True

    def tries_again(self, span: Span, plain: list[Tok]) -> bool:
        """Whether a sentence that was put beside is tried once more."""
        raise NotImplementedError

    def _of_glue_alone(self, start: int, end: int) -> None:
        """A line whose words carry nothing for the grammar, each by itself: together they may."""
        said = self.talk.text[start:end].strip()
        if len(words_in(said)) <= LEAST_OF_GLUE:
            return
        nothing = self.scanner.words.small_talk.changes_nothing(said, [], self.scanner.talked)
        (self.talk.set_aside if nothing else self.talk.doubted.append)(Span(start, end))

    def _without_beside(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without those of its words that were put beside."""
        within = self._as_written(Span(sentence[0].start, sentence[-1].end))
        again = self.scanner.tried_again - self.scanner.in_vain
        inside = [one for one in self.beside - again if sentence[0].start <= one.start and one.end <= sentence[-1].end]
        for span in sorted(inside, key=lambda one: one.start):
            odd = [tok for tok in sentence if span.start <= tok.start and tok.end <= span.end]
            if odd:
                self._pass_over(odd, within)
                sentence = [tok for tok in sentence if tok not in odd]
        return sentence

    def _pass_over(self, toks: list[Tok], within: str) -> None:
        """Words within a sentence that says something: fillers are kept beside, and whether others change it is asked."""
        span = Span(toks[0].start, toks[-1].end)
        table, said = self.scanner.words.small_talk, self.talk.text[span.start : span.end]
        turned = self.scanner.denies(within) or table.conditional(within) or table.denies(within)
        if turned or any(tok.values or tok.key for tok in toks) or not table.fills(said):
            self.talk.doubted.append(span)
        else:
            self.talk.set_aside(span)

    def _as_written(self, span: Span) -> str:
        """A stretch with the words at its edges that carry nothing for the grammar, up to the next sign: they may here."""
        whole = self.to_the_edges(span)
        return self.talk.text[whole.start : whole.end]

    def to_the_edges(self, span: Span) -> Span:
        """A stretch with the words at its edges that carry nothing for the grammar."""
        edges, before, behind = self.edges, bisect_left(self.edges, span.start), bisect_left(self.edges, span.end)
        ends = edges[behind] if behind < len(edges) else len(self.talk.text)
        return Span(edges[before - 1] + 1 if before else 0, ends)

    @functools.cached_property
    def edges(self) -> list[int]:
        """Where the text has signs that part what is said, in order."""
        return [one.start() for one in EDGE.finditer(self.talk.text)]

    def says_again(self, span: Span, format: Format | None) -> bool:
        """Whether a sentence that was not understood says only what the event says."""
        whole = self.to_the_edges(span)
        toks = [tok for tok in self.words(whole.start, whole.end) if tok.kind != "STOP"] if format else []
        if not toks or format is None or (any(tok.kind == "REST" for tok in toks) and self.drafter.amid_work(toks[0].start)):
            return False
        said = self.talk.text[toks[0].start : whole.end]
        return self.scanner.words.again.said(said, toks, format, saying(self.talk.text, whole.start, whole.end, toks))

    def words(self, start: int, end: int) -> list[Tok]:
        """The words of a stretch of the text, classified."""
        raise NotImplementedError

    def _small_talk(self, toks: list[Tok]) -> bool:
        """Whether a sentence or a clause is talk, a standard, advice, or when and where people meet."""
        # Without a movement it is the same whatever is done.
        done = self.drafter.known().done - {""} if any(tok.key for tok in toks) else frozenset[str]()
        about = (toks[0].start, toks[-1].end, len(toks), done)
        if about not in self.scanner.set_aside:
            said = self.talk.text[toks[0].start : toks[-1].end]
            plain = [tok for tok in toks if tok.kind != "STOP"]
            table = self.scanner.words.small_talk
            whole = self._as_written(Span(toks[0].start, toks[-1].end))
            nothing = table.says_nothing(said, plain, done, self.scanner.talked, whole) and not self._ends_it(toks)
            self.scanner.set_aside[about] = nothing
        return self.scanner.set_aside[about]

    def _ends_it(self, toks: list[Tok]) -> bool:
        """`Who laughs is done`: for the grammar the end of it carries nothing, for somebody it does."""
        plain = [tok for tok in toks if tok.kind != "STOP"]
        return bool(plain) and ENDS_IT.search(self._as_written(Span(plain[0].start, plain[-1].end))) is not None

    def _only_advice(self, toks: list[Tok]) -> bool:
        """Whether nothing in a tip could be a rule: no number, and no word that decides what counts."""
        said = self.talk.text[toks[0].start : toks[-1].end] if toks else ""
        return not any(tok.values for tok in toks) and not any(sign.isdigit() for sign in said) and not self.scanner.decides(said)

    def _farewell(self, toks: list[Tok]) -> bool:
        """`Hugs, Jo`; or a name alone below all else, under talk."""
        text, table = self.talk.text, self.scanner.words.small_talk
        plain = [tok for tok in toks if tok.kind != "STOP"]
        if plain and self._ends_a_letter(plain):
            return True
        if not plain or self.drafter.wants_things or any(tok.kind not in WORDS_OF_TALK or tok.values or tok.key for tok in plain):
            return False
        if table.bears(text[toks[0].start : toks[-1].end], self.scanner.talked):
            return False
        if table.hinges(self._as_written(Span(toks[0].start, toks[-1].end))):
            return False
        said, above = text[toks[0].start : toks[-1].end].lstrip(" ,"), text[: toks[0].start].rstrip(" ,\r\n\t")
        if table.farewell(said):
            return True
        named = len(words_in(said)) <= WORDS_OF_A_NAME and said[:1].isupper() and not said.isupper()
        kept = self.talk.kept[-1].span if self.talk.kept else None
        if (
            named
            and len(above) > len(text) // 2
            and any(table.farewell(line) for line in above.splitlines()[-LINES_OF_A_FAREWELL:])
        ):
            return not self.scanner.decides(said)
        below = (kept is not None and kept.end > above.rfind("\n")) or table.farewell(above.rpartition("\n")[2])
        return named and below and not text[toks[-1].end :].strip() and not self.scanner.decides(said)

    def _ends_a_letter(self, toks: list[Tok]) -> bool:
        """`Best,` alone in its line, with nothing but a name below it."""
        text = self.talk.text
        begins = text.rfind("\n", 0, toks[0].start) + 1
        said, _, below = text[begins:].partition("\n")
        if said.strip(" \t\r,.!").casefold() not in self.scanner.words.small_talk.sets["ends_letters"]:
            return False
        names = [line for line in below.splitlines() if line.strip()]
        return len(names) < LINES_OF_A_FAREWELL and all(len(words_in(one)) <= WORDS_OF_A_NAME for one in names)

    def _again_from_the_top(self, toks: list[Tok]) -> bool:
        """Whether a sentence says only that each window begins with the first thing in it."""
        works = self.drafter.told_here
        return bool(works) and says_anew(self.talk.text, toks, self.scanner.words.senses, works)

    def _without_anew(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without an end that says only that each window begins with the first thing in it."""
        parted = anew_behind(self.talk.text, sentence, self.scanner.words.senses, self.drafter.told_here)
        if parted is None:
            return sentence
        self._keep([tok for tok in sentence[parted + 1 :] if tok.kind != "STOP"])
        return [*sentence[:parted], *(tok for tok in sentence[parted:] if tok.kind == "STOP")]

    def without_small_talk(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without those of its clauses that are talk; they are kept."""
        sentence = self._without_tail(sentence)
        clauses = self._clauses_of(sentence)
        talk = [self._small_talk(clause) if clause else False for clause in clauses]
        if len(clauses) < 2 or not any(talk):
            return sentence
        if not all(talk):
            table, text = self.scanner.words.small_talk, self.talk.text
            talk = [
                told and not table.conditional(text[clause[0].start : clause[-1].end])
                for told, clause in zip(talk, clauses, strict=True)
            ]
        found: list[Tok] = []
        for clause, beside in zip(clauses, talk, strict=True):
            if beside:
                self._keep([tok for tok in clause if tok.kind != "STOP"])
                found += [tok for tok in clause if tok.kind == "STOP"]
            else:
                found += clause
        if found and self._farewell(found):
            self._keep([tok for tok in found if tok.kind != "STOP"])
            return []
        return found

    def _without_tail(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without the talk that stands behind what it says, with no stop between."""
        table, text = self.scanner.words.small_talk, self.talk.text
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        for at in range(1, len(plain)):
            if plain[at].kind not in ("PROSE", "UNKNOWN") or plain[at - 1].kind in COUNTED_BY:
                continue
            said = text[plain[at].start : plain[-1].end]
            if table.tail(said, plain[at:], self.scanner.talked):
                self._keep(plain[at:])
                return [*plain[:at], *(tok for tok in sentence if tok.kind == "STOP")]
        return sentence

    def _clauses_of(self, sentence: list[Tok]) -> list[list[Tok]]:
        """A sentence at its commas, and where a reason begins; the comma goes with the clause behind it."""
        found: list[list[Tok]] = [[]]
        reasons, says = self.scanner.words.small_talk.sets["reasons"], False
        for tok in sentence:
            words = words_in(tok.text) if tok.kind in ("UNKNOWN", "PROSE") else []
            reason = len(words) > 1 and words[0] in reasons
            if (tok.kind == "COMMA" or reason) and says:
                found.append([])
                says = False
            found[-1].append(tok)
            says = says or tok.kind != "COMMA"
        return found

    def _bears(self, toks: list[Tok]) -> bool:
        """Whether talk that would be passed over may change the event, or leaves open what is done, or turns who wins."""
        table, text, kinds = self.scanner.words.small_talk, self.talk.text, {tok.kind for tok in toks}
        if self._ends_it(toks):
            return True
        won = any(tok.kind == "SCORE" and tok.text.casefold() in ("win", "wins") for tok in toks)
        if won and "T_LOW" in kinds:
            return True  # the least wins
        counts = "SCORE" in kinds and "PROSE" in kinds and not any(kind.startswith("T_") for kind in kinds)
        ends = toks[-2 if toks[-1].kind == "STOP" and len(toks) > 1 else -1].end
        if counts and table.denies(self._as_written(Span(toks[0].start, ends))):
            return True  # `nobody keeps a score`
        if toks[0].kind == "TIE":
            return False  # what is not known of a tie is asked
        scores = bool(kinds & {"SCORE", "TIE"}) and "MOVE" not in kinds
        if "PROSE" in kinds and "THEN" not in kinds and not any(tok.values for tok in toks) and not kinds & SAYS_MORE:
            whole = self._as_written(Span(toks[0].start, toks[-1].end))
            if table.bears(whole, self.scanner.talked, standard=bool(kinds & {"MOVE", "NOREP"})) and not self.of_the_capped(toks):
                return True
        done = bool(kinds & {"MOVE", "UNKNOWN"}) and not kinds & {"SPLIT", "FREE"}
        nth = [(before, after) for before, tok, after in zip(toks, toks[1:], toks[2:], strict=False) if NTH.search(tok.text)]
        nth += [(toks[0], toks[1])] if len(toks) > 1 and NTH.search(toks[0].text) else []
        if any(after.kind in OF_THE_BEST or before.kind == "EVERY" for before, after in nth):
            return True  # `the second heaviest counts`, `every second 90 s`
        for before, tok in pairwise([toks[0], *toks]):
            if tok.kind != "PROSE":
                continue
            said = text[tok.start : tok.end]
            bears = table.bears(said, self.scanner.talked, standard=not scores) or (scores and table.of_scores(said))
            begins = before.start if before.kind == "THEN" else before.end
            if before is tok:
                begins = max(text.rfind(sign, 0, tok.start) for sign in "\n.!?;") + 1
            if bears or (done and table.chooses(said)) or table.orders(text[min(begins, tok.start) : tok.end]):
                return True
        return False

    def _says_nothing(self, clause: list[Tok]) -> bool:
        """A clause of ordinary talk alone, which has no number and no word that may decide."""
        said = self.talk.text[clause[0].start : clause[-1].end]
        plain = {tok.kind for tok in clause} <= WORDS_OF_TALK and not any(tok.values or tok.key for tok in clause)
        bears = self.scanner.words.small_talk.bears(said, self.scanner.talked, standard=True)
        return plain and self.scanner.talks(said) and not self.scanner.decides(said) and not bears

    def of_the_capped(self, sentence: list[Tok]) -> bool:
        """`Who does not finish is ranked by repetitions`: so it is in an event for time."""
        kinds = {tok.kind for tok in sentence if tok.kind != "STOP"}
        said = self.talk.text[sentence[0].start : sentence[-1].end]
        words = set(words_in(said)) if kinds <= OF_THE_CAPPED else set[str]()
        draft = self.drafter.draft
        for_time = self.drafter.timed_line or draft.cap or any(one.kind == "time" or one.capped for one in draft.stretches)
        counted = bool(kinds & {"REP", "T_REPS", "CAPREPS"}) or bool(words & AHEAD) or (bool(words & DID) and "SCORE" in kinds)
        told = counted and not any(sign.isdigit() for sign in said)
        return bool(for_time) and told and bool(words & NOT_DONE) and not words & NOT_OF_THE_CAPPED

    def _keep(self, toks: list[Tok]) -> None:
        span = Span(toks[0].start, toks[-1].end)
        self.talk.set_aside(span)
