"""What a line or a sentence tells of one version: its loads and heights, what is done there instead."""

import re
from dataclasses import replace

from app.rules.reading.drafting.members_start import members_start
from app.rules.reading.drafting.taken_back import taken_back
from app.rules.reading.drafts import Amount
from app.rules.reading.scan.frames.roster_said import roster
from app.rules.reading.scan.frames.swaps_said import swapped, told_again
from app.rules.reading.scan.members_named import without_choice, without_names
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.scanning import Scanner
from app.rules.reading.scan.sentence_ends import sentences_of
from app.rules.reading.sentences import SaysSentences
from app.rules.reading.talk import Span, Talk
from app.rules.reading.versions.blocks import OF_ANY, Groups
from app.rules.reading.versions.instead import CUE, other_work
from app.rules.reading.versions.lines import ENTRIES, NAMES, Told, VersionLine, version_line, versions_in_turn
from app.rules.reading.versions.rounds_named import rounds_named

OF_THE_BAR = ("", "bar")
# The rest is as it stands: not where something of it is said not to be.
REST_ALIKE = re.compile(
    r"[,\s]*(?:and\s+|but\s+)?(?:(?:the|all|other|rest|everything|else|gymnastics|bodyweight|movements?|reps|repetitions|counts?|work|"
    r"cap|rounds|and)\s+)+(?:is|are|stays?|remains?)\s+(?:all\s+|exactly\s+)?(?:the\s+)?(?:same|unchanged|as\s+(?:written|above))\W*",
    re.IGNORECASE,
)
OF_ALL = re.compile(r"\W*(?:for|is\s+for)\s+(?:everyone|everybody|all|both)\b", re.IGNORECASE)
OF_LEGENDS = {"VERSIONS", *NAMES}
MEMBERS = {"PAIR": "2", "TRIO": "3"}


class SaysVersions(SaysSentences):
    """Takes what is told of versions and of members' turns, and leaves out of a sentence what somebody took back in it."""

    def __init__(self, talk: Talk, scanner: Scanner, beside: frozenset[Span] = frozenset()) -> None:
        super().__init__(talk, scanner, beside)
        self.groups = Groups(scanner.words.groups)
        self.version = ""  # whose loads and heights this line tells

    def _version(self, toks: list[Tok], start: int, end: int) -> bool:
        """`Men: 43 kg`, `Scaled: 30/20 kg`, `Masters 45+: 42.5 kg bar, 50 cm box`: loads and heights of one version."""
        toks = self._without_what_is_alike(toks)
        if self.version and (told := version_line(self.talk.text, toks, self.version, self._things(toks))):
            return self._of_version(told, toks)
        rest = [tok for tok in toks if tok.kind not in ("COLON", "COMMA", "AND", "SLASH", "AT")]
        if self._loads_by_name(toks) or self._of_several(toks) or self._does_instead(toks):
            return True
        if told := version_line(self.talk.text, toks, "", self._things(toks)) or self._of_a_group(toks):
            return self._of_version(told, toks)
        several = len(sentences_of(toks)) > 1 and rest and "STOP" in {tok.kind for tok in toks[:-1]}
        return not several and self._named_version(rest, start, end)

    def _of_a_group(self, toks: list[Tok]) -> VersionLine | None:
        """`Inter   35/25 kg`: loads and heights behind the name of a version, without a colon."""
        at = next((place for place, tok in enumerate(toks) if tok.kind in ("LOAD", "SIZE", "MOVE")), 0)
        name = self.groups.named(self.talk.text[toks[0].start : toks[at].start])
        return version_line(self.talk.text, toks[at:], name[:1].upper() + name[1:]) if at and name else None

    def _version_told(self, sentence: list[Tok]) -> bool:
        """`Ladies use 47.5 kg.`, in a sentence among others."""
        sentence = self._without_what_is_alike(sentence)
        plain = [tok for tok in sentence if tok.kind not in ("STOP", "PROSE")]
        if self._loads_by_name(plain) or self._of_several(plain) or self._does_instead(sentence):
            return True
        if len(plain) < 2 or plain[0].kind not in NAMES or not {"LOAD", "BARE"} & {tok.kind for tok in plain}:
            return False
        told = version_line(self.talk.text, plain, "", self._things(plain))
        return told is not None and self._of_version(told, plain)

    def _without_what_is_alike(self, sentence: list[Tok]) -> list[Tok]:
        """`Women use a 15 kg dumbbell, and the gymnastics are the same`: a version's line without that the rest is alike."""
        if sentence[0].kind not in NAMES:
            return sentence
        at = next((place for place in range(len(sentence) - 1, 0, -1) if sentence[place].kind == "COMMA"), 0)
        tail = sentence[at:]
        said = self.talk.text[tail[0].start : tail[-1].end] if at and tail else ""
        if not said or not REST_ALIKE.fullmatch(said) or any(tok.values or tok.kind == "MOVE" for tok in tail):
            return sentence
        self._keep([tok for tok in tail if tok.kind != "STOP"])
        return sentence[:at]

    def _of_several(self, toks: list[Tok]) -> bool:
        """`Male pairs deadlift 100 kg, female pairs deadlift 70 kg`: lines of versions in one."""
        plain = [tok for tok in toks if tok.kind != "STOP"]
        sized = [tok.kind for tok in plain[-2:]] == ["COMMA", "SIZE"] and plain[-1].key
        of_all = plain[-1:] if sized and OF_ALL.match(self.talk.text, plain[-1].end) else []
        of_each = plain[:-2] if of_all else plain
        told = versions_in_turn(self.talk.text, of_each, self._things(of_each))
        entries = {MEMBERS.get(tok.kind, "".join(tok.values)) for tok in plain if tok.kind in ENTRIES}
        members = int(entries.pop()) if len(entries) == 1 else 0
        draft = self.drafter.draft
        if not told or entries or (members and draft.members not in (None, members)):
            return False
        draft.members = members or draft.members
        draft.version_lines += told
        draft.heights += [(tok.key, Amount("size", tok.values, tok.unit), (), Span(tok.start, tok.end)) for tok in of_all]
        self.taken += plain
        return True

    def _does_instead(self, toks: list[Tok]) -> bool:
        """`Scaled: ring rows instead of pull-ups`, `scaled does single-unders + ring rows`, `in the division Scaled, push-ups
        replace the handstand push-ups`."""
        plain = [tok for tok in toks if tok.kind not in ("STOP", "PROSE")]
        text, end, table = self.talk.text, toks[-1].end, self.scanner.words.small_talk
        said = text[toks[0].start : end]
        cued = CUE.search(said) is not None
        named = bool(plain) and (plain[0].kind in NAMES or ":" in said) and any(tok.kind == "MOVE" for tok in plain[1:])
        if not plain or not (cued or named) or table.chooses(said) or table.denies(said) or table.hinges(said):
            return False
        first, done = plain[0], self.drafter.known().done
        begun = text[first.start : first.end] if first.kind in NAMES else self.groups.begins(text[first.start : end])
        begins = first.start + len(begun)
        begins += len(text[begins:end]) - len(text[begins:end].lstrip(" :,–—-"))
        name = NAMES.get(first.kind) or begun[:1].upper() + begun[1:]
        if not name or not done or not (cued or self._heads_a_version(first, name, begins)):
            return False
        told = other_work(text, name, Span(begins, end), self.words, done)
        if told is None:
            return False
        self.drafter.draft.instead += told.instead
        if told.loads is not None:
            self.drafter.draft.version_lines.append(told.loads)
        self.taken += plain
        return True

    def _heads_a_version(self, first: Tok, name: str, begins: int) -> bool:
        """Whether a line is of another version than the one that is written: `Scaled …`, `Masters 45+: …`."""
        colon = ":" in self.talk.text[first.end : begins]
        named = first.kind in ("WOMEN", "SCALED") or (colon and not set(name.casefold().split()) <= OF_ANY)
        return named and name not in ("Rx", "Men")

    def _tells_whose(self, sentence: list[Tok]) -> bool:
        """`Men/women loads as listed.`, `(first weight = M, second = W)`: a sentence that tells whose all numbers are."""
        plain = [tok for tok in sentence if tok.kind not in ("STOP", "COMMA")]
        if not plain or any(tok.key or (tok.values and tok.kind != "VERSIONS") for tok in plain):
            return False
        between = self.talk.text[plain[0].start : plain[-1].end]
        if not (any(sign in between for sign in "/='’") or any(tok.kind in OF_LEGENDS for tok in plain)):
            return False
        whole = self.to_the_edges(Span(plain[0].start, plain[-1].end))
        said, legends = self.talk.text[whole.start : whole.end], self.scanner.words.legends
        if name := legends.written_for(said):
            self.drafter.draft.written_for.append((name, whole))
            return True
        told = legends.told(said, whole.start)
        self.drafter.draft.legends += [told] if told else []
        return told is not None

    def _things(self, toks: list[Tok]) -> set[str]:
        """What loaded work is done with, by the words in its name; none where no load stands in a line."""
        if not any(tok.kind == "LOAD" for tok in toks):
            return set()
        works = [work for stretch in self.drafter.draft.stretches for work in stretch.works if work.load]
        return {word for work in works for word in work.key.split("_")}

    def _rounds_by_name(self, toks: list[Tok]) -> list[Tok]:
        """`Elite: 5 rounds, Intermediate: 4 rounds`: a line with the rounds of the first version alone; once."""
        draft = self.drafter.draft
        found = rounds_named(self.talk.text, toks, self.groups.named)
        if found is None or draft.rounds_of is not None:
            return toks
        left, draft.rounds_of = found
        draft.versions = max(draft.versions, len(draft.rounds_of.counts))
        self.taken += [tok for tok in toks if tok not in left]
        return left

    def _version_does(self, sentence: list[Tok]) -> bool:
        """`Women: 10 ring rows.`, in a sentence among others."""
        plain = [tok for tok in sentence if tok.kind not in ("STOP", "COLON", "COMMA", "AND", "SLASH", "AT")]
        return bool(plain) and self._named_version(plain, plain[0].start, plain[-1].end)

    def _loads_by_name(self, plain: list[Tok]) -> bool:
        """`Men 80, women 45 kilos`: of two numbers for one thing the unit may be told once."""
        rest = [tok for tok in plain if tok.kind not in ("COLON", "COMMA", "AND", "SLASH", "AT")]
        pairs = list(zip(rest[::2], rest[1::2], strict=False))
        units = {load.unit for _, load in pairs if load.kind == "LOAD"}
        if len(rest) == 2 * len(pairs) > 2 and self._two_of_each(pairs, units):
            self.taken += rest
            return True
        named = all(
            who.kind in NAMES and load.kind in ("LOAD", "BARE") and len(load.values) == 1 and load.key in OF_THE_BAR
            for who, load in pairs
        )
        if len(pairs) < 2 or len(rest) % 2 or not named or len(units) != 1 or len({who.kind for who, _ in pairs}) < len(pairs):
            return False
        unit = units.pop()
        self.drafter.draft.version_loads += [
            (NAMES[who.kind], replace(load, kind="LOAD", unit=unit, key="")) for who, load in pairs
        ]
        self.taken += rest
        return True

    def _two_of_each(self, pairs: list[tuple[Tok, Tok]], units: set[str]) -> bool:
        """`Rx 60/42.5, scaled 43/30 kg`: two numbers of every version, in one line."""
        named = all(who.kind in NAMES and (load.kind, len(load.values)) in (("LOAD", 2), ("PAIRNUM", 2)) for who, load in pairs)
        if not named or len(units) > 1 or len({who.kind for who, _ in pairs}) < len(pairs):
            return False
        unit = next(iter(units), "")
        self.drafter.draft.version_lines += [
            VersionLine(NAMES[who.kind], (Told(load.key, replace(load, kind="LOAD", unit=unit)),), Span(who.start, load.end))
            for who, load in pairs
        ]
        return True

    def _of_version(self, told: VersionLine, toks: list[Tok]) -> bool:
        self.drafter.draft.version_lines.append(told)
        self.taken += toks
        return True

    def _named_version(self, rest: list[Tok], start: int, end: int) -> bool:
        """A version alone in its line is what the next lines are of; other work for it is no load and no height."""
        if not rest or rest[0].kind not in NAMES:
            return False
        if [tok.kind for tok in rest] == ["RX"]:
            return True
        if len(rest) > 1 and all(tok.kind in NAMES for tok in rest):  # `Rx and Scaled`: which versions there are
            self.talk.set_aside(Span(start, end))
            return True
        self.talk.cannot(
            Span(start, end),
            f"“{self.talk.text[start:end].strip()}”: other work for one version is set in the event, as a variant.",
        )
        return True

    def _without_what_is_taken_back(self, sentence: list[Tok]) -> list[Tok]:
        """`4 rope climbs... no wait, 2 rope climbs`: whether the first is taken back is asked."""
        found = taken_back(self.talk.text, sentence, self.scanner.words.small_talk.sets["takes_back"])
        if found is None:
            return sentence
        span = Span(sentence[found.first].start, sentence[found.end - 1].end)
        later = self.talk.text[sentence[found.later].start : span.end]
        answers = [("later", f"Yes: “{later}” instead"), ("both", "No: both are done")]
        asked = f"“{self.talk.text[span.start : span.end]}”: is the first taken back?"
        back = self.talk.ask("taken-back", span, asked, answers) == "later"
        gone = sentence[found.first if back else found.cue : found.later]
        self._keep(gone)
        parted = [] if back else [gone[0].to(gone[-1], "COMMA", values=(), key="")]
        behind = self._without_what_is_taken_back(sentence[found.later :])
        return [*sentence[: found.first if back else found.cue], *parted, *behind]

    def _without_names(self, sentence: list[Tok]) -> list[Tok]:
        """`Teams of 2 (A and B): …`: a sentence without what its members are called."""
        text, draft = self.talk.text, self.drafter.draft
        left, names = without_names(text, sentence)
        left, choice = without_choice(text, left, draft.members, self.scanner.words.again)
        for gone in (names, choice):
            if gone:
                self._keep(gone)
        return left

    def _swapped(self, sentence: list[Tok]) -> list[Tok]:
        """`After 2 minutes swap: B does thrusters, A hangs`, in the grammar's word for it; nothing where it is told once more who
        does what."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        stretches = self.drafter.draft.stretches
        here, text = next((one for one in reversed(stretches) if one.works), None), self.talk.text
        if not plain or here is None or len(here.who or ()) != 1:
            return sentence
        if swapped(text, plain, here, sum(one.seconds or 0 for one in stretches if one.works)):
            return [plain[0].to(plain[-1], "SWITCH", values=(), key="", unit="")]
        if told_again(text, plain, here):
            self._keep(plain)
            return []
        return sentence

    def _roster(self, sentence: list[Tok]) -> bool:
        """`A works in minutes 1 and 3, B in minutes 2 and 4`: who works when; what they do is told elsewhere."""
        plain, draft = [tok for tok in sentence if tok.kind != "STOP"], self.drafter.draft
        if draft.starts and sorted(tok.kind for tok in plain) == ["DUR", "SWITCH"]:
            draft.swaps += [int(tok.values[0]) for tok in plain if tok.values]
            self.taken += plain
            return True
        turns = roster(self.talk.text, plain, draft.roster)
        if not turns:
            return False
        begins = draft.roster_span.start if draft.roster_span else plain[0].start
        draft.roster, draft.roster_span = tuple(turns), Span(begins, plain[-1].end)
        self.taken += plain
        return True

    def _members_start(self, sentence: list[Tok]) -> bool:
        """`Athlete A starts at 0:00, athlete B at 2:30`: windows of the same work, one for each."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        span = Span(plain[0].start, plain[-1].end)
        told = members_start(self.talk.text[span.start : span.end])
        self.drafter.draft.starts += [(member, at, span) for member, at in told]
        self.taken += plain if told else []
        return bool(told)
