"""Several halls in one standing: their competition files taken in, questions about them settled, the standing of all."""

import asyncio
import gc
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from app.hall.forms import BadForm, Problem, Typed
from app.hall.hall import Hall
from app.live.kept import Kept, MadeOnce
from app.results.competition_file import BadFile, read_file, write_file
from app.results.explaining import ResultTable, plain_table
from app.results.file_texts import check_texts
from app.results.overall_csv import overall_csv
from app.results.recount import Recount, recount_plain
from app.results.results_csv import results_csv
from app.results.whole_file import whole_file
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Competition
from app.rules.result.hall_records import HallFile, own_words
from app.rules.result.halls import TWO_PEOPLE, Joined, join_halls
from app.rules.result.overall_results import overall_tables
from app.rules.result.results import EventResults, results
from app.rules.result.sealing import digest_text, seal_faults, sealed
from app.rules.result.signed_words import Stated, stated_in, stated_joined
from app.rules.result.versions import ANOTHER, NEWER, Finding
from app.rules.values.texts import cleaned, is_seen, unfit
from app.rules.values.words import say
from app.store.database import Database
from app.store.devices import get_setting, put_setting
from app.store.halls import HallContent, HallSaid, hall_content, halls_said, put_hall_file, set_aside
from app.store.refusals import NotThere

SETTLED = "halls_settled"  # the answers, in the settings of this installation
HERE = "This hall"
KEPT_AS = "halls"
MOST_NAME = 60
KEPT = 24  # files of which is held in memory what is made of them; to make it again takes seconds for a large one

NO_FILE = "No file arrived. Choose a hall's competition file (its name ends in .json) and send it again."
NO_NAME = "Name the hall that this file is from, in at most 60 characters."


class NoHalls(NotThere):
    """Raised when there is no file to join; its text is the sentence to show."""


# What is made of the files, by their digests: a file never changes.
_READ, _OWN_WORDS, _LINES = MadeOnce[CompetitionFile](KEPT), MadeOnce[CompetitionFile](KEPT), MadeOnce["HallLine"](KEPT)


@dataclass(frozen=True, slots=True)
class HallLine:
    """One file in the list: its key, the hall's name, what is in it, whether its seal holds, whether it is put aside."""

    digest: str
    name: str
    words: str
    seal: str
    faults: tuple[str, ...]
    aside: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """A way to settle a question: what the button says and sends, and whether it is the answer that holds."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class FindingView:
    """Something that was found: its sentence, whether it waits for a person, and how it can be settled."""

    text: str
    waits: bool
    key: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class HallsPage:
    """All halls: the files, what was found, and the standings of all together."""

    files: tuple[HallLine, ...]
    findings: tuple[FindingView, ...]
    waiting: int
    tables: tuple[ResultTable, ...]


@dataclass(frozen=True, slots=True)
class Whole:
    """All halls joined, None without another hall's file; their standings; as a page."""

    joined: Joined | None
    standings: tuple[EventResults, ...]
    page: HallsPage


@dataclass(frozen=True, slots=True)
class Said:
    """What decides what all halls come to, but for this hall's own marks: the files and what was said of them, the answers."""

    files: tuple[HallSaid, ...]
    settled: str | None

    def version(self, hall: Hall) -> int:
        """The version of this hall's own competition, where that stands among the others."""
        return hall.projection.version if any(not file.aside for file in self.files) else 0


async def take_hall_file(hall: Hall, name: str, data: bytes) -> str:
    """Takes a hall's competition file in; the hall's name. Raises BadForm, Refusal; nothing is stored then."""
    if not data:
        raise BadForm((Problem("file", NO_FILE),))
    try:
        file = await asyncio.to_thread(read_file, data)
        check_texts(file)
    except BadFile as wrong:
        raise BadForm((Problem("file", str(wrong)),)) from None
    called = cleaned(name or file.competition.place or file.competition.name)
    if not is_seen(called) or len(called) > MOST_NAME or unfit(called) or called in (HERE, TWO_PEOPLE):
        raise BadForm((Problem("name", NO_NAME),))
    content = HallContent(sha256(data).hexdigest(), called, data, hall.time.wall_ms())
    await hall.database.awrite(lambda session: put_hall_file(session, content))
    return called


NO_QUESTION = "That question is no longer open. Look at the findings and answer there."


async def put_aside(hall: Hall, digest: str, aside: bool) -> str:
    """Puts a hall's file aside, or takes it up again; its name. Raises NotThere."""
    when = hall.time.wall_ms() if aside else None
    return await hall.database.awrite(lambda session: set_aside(session, digest, when))


async def settle(hall: Hall, typed: Typed) -> None:
    """Keeps an answer to a question; an empty one opens it again. Raises BadForm for what is no question, or no answer."""
    key, answer = typed.get("key", ""), typed.get("answer", "")
    joined = await all_halls(hall)
    if key not in {found.key for found in joined.findings if found.key} or len(answer) > MOST_NAME or unfit(answer):
        raise BadForm((Problem("", NO_QUESTION),))
    settled = await hall.database.aread(lambda session: get_setting(session, SETTLED))
    answers = {**_answers(settled), key: answer}
    kept = json.dumps({key: value for key, value in answers.items() if value}, ensure_ascii=False)
    await hall.database.awrite(lambda session: put_setting(session, SETTLED, kept))


async def halls_page(hall: Hall) -> HallsPage:
    """The files, what was found in them, and the standings of all halls together."""
    return (await whole(hall)).page


async def all_halls(hall: Hall) -> Joined:
    """All halls joined: the files that count, and this hall's own competition where it has marks. Raises NoHalls."""
    return needed_halls(await whole(hall, exact=True))


def needed_halls(found: Whole) -> Joined:
    """The halls joined. Raises NoHalls."""
    if found.joined is None:
        raise NoHalls("No other hall's file is here yet. Take them in at the desk, under Other halls.")
    return found.joined


async def said(hall: Hall) -> Said:
    """What was said of the halls' files so far."""
    return await hall.database.aread(lambda session: Said(halls_said(session), get_setting(session, SETTLED)))


async def whole(hall: Hall, *, exact: bool = False) -> Whole:
    """All halls as they stand, kept until a file, an answer or a mark changes something. exact: what leaves the desk as a file
    holds every mark that is here, and so does what the public is shown."""
    now = await said(hall)
    kept: Kept[Whole] = hall.kept.setdefault(KEPT_AS, Kept())
    return await kept.newest(now, now.version(hall), lambda: asyncio.to_thread(_whole, hall, now), exact=exact)


def _whole(hall: Hall, now: Said) -> Whole:
    """Reads and joins everything: seconds for large halls, so on a thread of its own. What was made of a file is made once."""
    lines, answers = tuple(_line(hall.database, file) for file in now.files), _answers(now.settled)
    counting = [file for file in now.files if not file.aside]
    if not counting:
        return Whole(None, (), HallsPage(lines, (), 0, ()))
    joined = _join(hall, counting, answers)
    findings = tuple(_finding(found, answers) for found in joined.findings)
    standings = tuple(results(joined.file))
    page = HallsPage(lines, findings, sum(found.waits for found in findings), _tables(joined, standings))
    return Whole(joined, standings, page)


async def halls_csv(hall: Hall) -> bytes:
    """The results of all halls as CSV. Raises NoHalls."""
    joined = await all_halls(hall)
    return await asyncio.to_thread(lambda: results_csv(joined.file, results(joined.file), _said(joined)))


async def halls_overall_csv(hall: Hall) -> bytes:
    """The overall standing of all halls as CSV. Raises NoHalls, also without a rule for it."""
    joined = await all_halls(hall)
    if joined.file.overall is None:
        raise NoHalls("None of the files says how the overall standing is made.")
    return await asyncio.to_thread(
        lambda: overall_csv(joined.file, overall_tables(joined.file, results(joined.file)), stated_joined(()))
    )


def _said(joined: Joined) -> dict[str, Stated]:
    """How final each event is, by its id: as each of the halls that ran it says."""
    return {
        event: stated_joined([(hall.name, stated_in(hall.file, own)) for hall, own in ran]) for event, ran in joined.ran.items()
    }


async def halls_file(hall: Hall) -> bytes:
    """All halls as one competition file that anybody can recount. Raises NoHalls."""
    joined = await all_halls(hall)
    return await asyncio.to_thread(
        lambda: write_file(sealed(joined.file.model_copy(update={"made_wall_ms": hall.time.wall_ms()})))
    )


def halls_plain(found: Whole) -> dict[str, object]:
    """The standings of all halls as data, each entry with its hall. Raises NoHalls."""
    joined = needed_halls(found)
    told = recount_plain(Recount(found.standings, overall_tables(joined.file, found.standings)))
    return told | {"halls": dict(joined.hall_of), "found": [finding.text for finding in joined.findings]}


def _own(hall: Hall) -> HallFile | None:
    """This hall's own competition as one of the halls, once something was marked."""
    roster = hall.projection.roster
    if roster is None or not hall.ledger.count():
        return None
    file = whole_file(hall, roster, hall.time.wall_ms())
    return HallFile(HERE, sha256(file.competition.id.encode()).hexdigest(), file)


def _join(hall: Hall, counting: list[HallSaid], answers: Mapping[str, str]) -> Joined:
    own = _own(hall)
    files = [own] if own else []
    files += [HallFile(one.name, one.digest, _read_once(hall.database, one.digest)) for one in counting]
    first = files[0].file.competition
    whole = Competition(id="all-halls", name=first.name, place="All halls", day=first.day, unit=first.unit, demo=first.demo)
    return join_halls(whole, files, answers, own_words_once)


def own_words_once(file: HallFile) -> CompetitionFile:
    """A file in its hall's own words, made once; this hall's own grows while it is judged."""
    return own_words(file) if file.name == HERE else _OWN_WORDS.of(file.digest, lambda: _staying(own_words(file)))


def _read_once(database: Database, digest: str) -> CompetitionFile:
    return _READ.of(digest, lambda: _staying(read_file(database.read(lambda session: hall_content(session, digest)))))


def _staying(file: CompetitionFile) -> CompetitionFile:
    """A file that is kept. The collector leaves alone what is there by now: of six halls its walk took 144 ms, in
    which nobody is answered."""
    gc.freeze()
    return file


def _line(database: Database, said: HallSaid) -> HallLine:
    line = _LINES.of(said.digest, lambda: _line_of(said.digest, _read_once(database, said.digest)))
    return replace(line, name=said.name, aside=said.aside)


def _line_of(digest: str, file: CompetitionFile) -> HallLine:
    """A file as it is listed, but for what people said of it."""
    faults = tuple(seal_faults(file))
    if file.seal is None:
        words_of_seal = "no seal"
    else:
        words_of_seal = "seal broken" if faults else f"seal holds: {digest_text(file.seal.digest)[:19]}"
    marks = say("marks.shown", n=len(file.marks), shown=f"{len(file.marks):,}".replace(",", " "))
    words = f"{say('list.entries', n=len(file.entries))}, {marks}"
    return HallLine(digest, "", words, words_of_seal, faults, False)


def _finding(found: Finding, answers: Mapping[str, str]) -> FindingView:
    ways = [(hall, f"{hall} counts") for hall in found.halls]
    ways += [(TWO_PEOPLE, "Two people: both count")] if found.may_be_two else []
    if found.versions:
        ways = [(NEWER, f"The same hall: only {found.halls[1]} counts"), (ANOTHER, "Two halls: both count")]
    chosen = answers.get(found.key, "")
    views = tuple(Answer(value, words, value == chosen) for value, words in ways)
    return FindingView(found.text, found.kind == "unsettled", found.key, views)


def _tables(joined: Joined, standings: Sequence[EventResults]) -> tuple[ResultTable, ...]:
    return tuple(plain_table(event, table, joined.hall_of) for event in standings for table in event.tables if table.rows)


def _answers(settled: str | None) -> dict[str, str]:
    found: dict[str, str] = json.loads(settled) if settled else {}
    return found
