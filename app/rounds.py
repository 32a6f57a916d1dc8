"""Rounds on the command line: the kit, opening it in a gym, keys, hand-ins and their receipts, the book."""

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import cast, get_args

from pydantic import ValidationError

from app.files import FileRefused, in_hall, look_for_place, look_for_store, open_database, opened, write_whole
from app.hall.doing import note_at_terminal
from app.hall.hall import Hall
from app.live.servertime import this_machine
from app.results.competition_file import make_file, read_file
from app.results.publishing import export_file
from app.round.book_folder import recount_book, write_book
from app.round.film_list import films_in
from app.round.gym.handing_in import film_words, make_hand_in
from app.round.gym.opened import Opened, is_open, keep_kit, open_kit, read_kit, refuse_over
from app.round.headquarters import Headquarters
from app.round.kept_records import Took
from app.round.kits import gyms_in, make_kit, round_rule
from app.round.looks import add_reviewer, give_out, seal
from app.round.ruling import NOBODY, Answered, event_id, ruling_on
from app.round.times import read_time, shown_time, why_not_then, zone_of
from app.round.where_it_stands import where_it_stands
from app.rules.records.document import CompetitionFile
from app.rules.round.guards import roll_root
from app.rules.round.proving import prove
from app.rules.round.rule import MostLooks
from app.rules.round.short import NotADigest, known_as, read_digest, short_digest
from app.rules.round.tree import FILM_PIECE_BYTES, film_print
from app.rules.round.words import MOST_LETTERS, shown
from app.rules.values.words import say
from app.settings import Settings
from app.store.roster import read_roster
from app.store.rounds import BINDING, ROOM

Take = Callable[[Headquarters, int], Took]
Then = Callable[[Headquarters, int], str]


@contextmanager
def headquarters_in(settings: Settings, act: str, about: str = "") -> Iterator[tuple[Headquarters, int]]:
    """The headquarters in a data folder, and the time; noted in the activity log if all went well."""
    look_for_store(settings)
    with open_database(settings) as database:
        yield Headquarters(database, settings.data), this_machine().wall_ms()
        note_at_terminal(database, act, about)


def refuse_without_round(headquarters: Headquarters) -> None:
    if not headquarters.has_round:
        raise FileRefused("There is no round here.")


@dataclass(frozen=True, slots=True)
class KitFlags:
    """What is said of a round as it is typed: times with their zones (opens: empty for now), letters of a film word, places as
    NAME=NUMBER, the round's name (empty: the competition's), the most looks at a line, where gyms reach the server (empty: they
    don't)."""

    deadline: str
    opens: str
    film_word: int
    places: Sequence[str]
    name: str
    looks: int
    address: str


def kit_of(settings: Settings, folder: Path, gyms: Path, given: KitFlags) -> str:
    """Makes the kit of the competition in a data folder, and says so. Raises FileRefused, BadKit, NoRound."""
    ends, zone = _when(given.deadline, "deadline")
    listed = gyms_in(_text(gyms))
    with headquarters_in(settings, "Make the kit of a round", folder.name) as (headquarters, now):
        roster = headquarters.database.read(read_roster)
        if roster is None or not roster.events or not roster.divisions:
            raise FileRefused("A round needs a competition with a division and an event. Enter them at the desk first.")
        opens = _when(given.opens, "opening")[0] if given.opens else now
        if why_not := why_not_then(ends, opens, now):
            raise FileRefused(why_not)
        if not 0 <= given.film_word <= MOST_LETTERS:
            raise FileRefused(f"A film word has up to {MOST_LETTERS} letters; 0 for none.")
        file, name = make_file(roster, (), (), (), now), given.name or roster.competition.name
        if given.looks not in get_args(MostLooks):
            raise FileRefused("A line has 3, 5, 7 or 9 looks at most, so that their median decides.")
        places, looks = _places(file, given.places), cast("MostLooks", given.looks)
        try:
            rule = round_rule(file, name, (ends, zone), opens, places, given.film_word, looks)
        except ValidationError as wrong:
            first = wrong.errors()[0]
            raise FileRefused(f"A round can't be made so: {'.'.join(map(str, first['loc']))}: {first['msg']}.") from None
        return make_kit(headquarters, file, rule, listed, folder, now, given.address)


def open_here(settings: Settings, kit: Path, code: str, even_if_over: bool) -> str:
    """Opens a kit in a data folder, and says what is next; opened again, it only tells.

    Raises FileRefused, BadKit, Over, BadFile, NotEmpty."""
    data = _bytes(kit)
    offer, again = read_kit(data, code), is_open(settings.data, data)
    rule = offer.opened.kit.rule
    if not again and not even_if_over:  # before a folder is made for it
        refuse_over(rule, this_machine().wall_ms())

    async def begin(hall: Hall) -> Opened:
        opened = await open_kit(hall, data, code, even_if_over)
        note_at_terminal(hall.database, "Open the kit of a round", rule.name)
        return opened

    opened = keep_kit(settings.data, offer) if again else in_hall(settings, begin)
    until = shown_time(rule.deadline_ms, rule.zone)
    if not opened.gym:
        return f"{rule.name} is open here, until {until}. Say it again with the code of your slip: nothing is handed in without."
    binding = settings.data / ROOM / BINDING
    return (
        f"{rule.name} is open here for gym {opened.gym}, until {until}.\n"
        f"Send headquarters the file {binding}: it binds this laptop's key to your gym."
    )


def bind_key(settings: Settings, binding: Path) -> str:
    """Binds the key of a gym at headquarters, and says so. Raises FileRefused, BadKit, NoRound."""
    with headquarters_in(settings, "Bind a gym's key", binding.name) as (headquarters, now):
        return headquarters.bind(_bytes(binding), now)


def hand_in(settings: Settings, file: Path, replaces: str | None) -> str:
    """Writes a gym's hand-in, and says what it holds and what it lacks. Raises FileRefused, BadKit."""
    look_for_store(settings)
    look_for_place(file)
    with opened(settings) as hall:
        made = make_hand_in(settings.data, read_file(export_file(hall)), replaces)
        note_at_terminal(hall.database, "Make a hand-in", file.name)
    write_whole(file, made.content)
    lacking = "".join(f"\n  Lacking: {one}" for one in made.lacking)
    told = "It is complete." if not made.lacking else f"It has no line for {len(made.lacking)}:{lacking}"
    return (
        f"Written: {file} with {say('lines', n=made.lines, shown=made.lines)}. {told}\n"
        f"Its digest: {made.digest}\nTo be read out: {short_digest(made.digest)}\n"
        "One of the two must reach headquarters by the deadline; the file may follow."
    )


def open_round(settings: Settings) -> str:
    """Makes the opening word of a round, and says it. Raises FileRefused, NoRound."""
    with headquarters_in(settings, "Open a round") as (headquarters, now):
        word = headquarters.open_round(now)
    return f"Tell every gym now, and publish it with heads. The opening word:\n{shown(word)}"


def words_of(settings: Settings, typed: str) -> str:
    """Keeps the opening word in a gym, and says the film word of each entry. Raises FileRefused, BadKit."""
    look_for_store(settings)
    with opened(settings) as hall:
        words = film_words(settings.data, read_file(export_file(hall)), typed)
        note_at_terminal(hall.database, "Make film words", "")
    listed = "\n".join(f"{number}  {word}  {name}" for number, name, word in words)
    return (
        f"{listed}\nShow the word to the camera first and last. Numbers are by place in the list of entries: from now on "
        "remove none, and make the words again after you add one."
    )


def print_of_film(film: Path) -> str:
    """Says the print of a film. Raises FileRefused."""
    try:
        with film.open("rb") as file:
            return film_print(iter(lambda: file.read(FILM_PIECE_BYTES), b""))
    except OSError as wrong:
        raise FileRefused(f"The film {film} can't be read: {wrong.strerror}.") from None


def promise(settings: Settings, digest: str, gym: int, receipt: Path, replaces: str | None) -> str:
    """Takes the digest of a hand-in at headquarters, and writes the gym's receipt. Raises FileRefused, BadKit, NoRound."""
    try:
        wanted, earlier = read_digest(digest), read_digest(replaces) if replaces else None
    except NotADigest as wrong:
        raise FileRefused(str(wrong)) from None
    return _took(settings, receipt, "Take a promise", f"gym {gym}", lambda one, now: one.promise(wanted, gym, earlier, now))


def take_in(settings: Settings, file: Path, receipt: Path) -> str:
    """Takes a gym's hand-in at headquarters, and writes its receipt. Raises FileRefused, BadKit, NoRound."""
    content = _bytes(file)

    def check(headquarters: Headquarters, now: int) -> str:
        digest = known_as(sha256(content).hexdigest(), headquarters.state.hand_ins)
        return f"\n{_amiss(headquarters.check_here(digest, now))}"

    return _took(settings, receipt, "Take a hand-in", file.name, lambda one, now: one.take_in(content, now), check)


def _amiss(faults: Sequence[str]) -> str:
    listed = "".join(f"\n  Amiss: {fault}" for fault in faults)
    return f"Checked. Nothing of it counts:{listed}" if faults else "Checked. Nothing is amiss."


def _took(settings: Settings, receipt: Path, act: str, about: str, take: Take, then: Then = lambda *_: "") -> str:
    """Takes something, and writes its receipt before anything more is done with it; says both, and what came of the rest."""
    look_for_place(receipt)
    lost = ""
    with headquarters_in(settings, act, about) as (headquarters, now):
        took = take(headquarters, now)
        try:
            write_whole(receipt, took.receipt)
        except FileRefused as wrong:  # the disk ran full in this moment
            lost = f"{wrong} It was taken all the same, as number {took.number}: the desk's page of the round has the receipt."
        more = then(headquarters, now)
    if lost:
        raise FileRefused(f"{lost}{more}")
    return f"Written: {receipt}, receipt {took.number}. Head of the receipts: {took.head}{more}"


def close_roll(settings: Settings) -> str:
    """Closes the roll of a round, and says its root. Raises FileRefused, NoRound."""
    with headquarters_in(settings, "Close the roll of a round") as (headquarters, now):
        root = headquarters.close_roll(now)
    return f"The roll is closed. Publish its root, and only then roll the dice before witnesses:\n{root}"


def draw(settings: Settings, dice: str, witnesses: list[str]) -> str:
    """Takes the dice of the draw, asks for the looks that follow, and says so. Raises FileRefused, NoRound."""
    with headquarters_in(settings, "Draw the films of a round") as (headquarters, now):
        headquarters.draw("".join(dice.split()), witnesses, now)
        count = headquarters.go_on(now)
        return f"Drawn. Seed: {headquarters.state.seed}\nLooks asked for: {count}"


def add(settings: Settings, file: Path) -> str:
    """Adds records of a file to the round, and says so. Raises FileRefused, NoRound."""
    content = _bytes(file)
    with headquarters_in(settings, "Add records to a round", file.name) as (headquarters, now):
        return f"Added: {say('records', n=headquarters.add_lines(content, now))}."


def reviewer_of(settings: Settings, reviewer: str, name: str, gym: int) -> str:
    """Adds a reviewer, and says the code that seals looks under that name. Raises FileRefused, BadKit, NoRound."""
    with headquarters_in(settings, "Add a reviewer to a round", reviewer) as (headquarters, now):
        refuse_without_round(headquarters)
        code = add_reviewer(headquarters, reviewer, name, gym, now)
    return f"{name} seals looks with this code, which nobody else should see: {code}"


def look_of(settings: Settings, reviewer: str, films: Path, file: Path) -> str:
    """Writes the sheet of a reviewer's next look, and says so. Raises FileRefused, NoRound."""
    look_for_place(file)
    listed = films_in(_text(films))
    with headquarters_in(settings, "Give out a look", reviewer) as (headquarters, now):
        refuse_without_round(headquarters)
        given = give_out(headquarters, reviewer, listed, now)
        until = shown_time(given.until_ms, headquarters.state.rules.zone)
    write_whole(file, given.sheet)
    return f"Written: {file}. Send it to the reviewer, who counts, fills it in and sends it back by {until}."


def seal_look(settings: Settings, file: Path, code: str) -> str:
    """Seals a look that was filled in, and says so. Raises FileRefused, BadKit, NoRound."""
    content = _bytes(file)
    with headquarters_in(settings, "Seal a look", file.name) as (headquarters, now):
        return f"Sealed for ever, under the name of {seal(headquarters, content, code, now)}."


def rule_on(settings: Settings, entry: int, event: str, answered: Answered | None, by: str) -> str:
    """Says what a decision, or an answer to an appeal, does to the places; with a name it is written down. Raises FileRefused,
    NoRound."""
    with headquarters_in(settings, "Rule on a line of a round", f"entry {entry}") as (headquarters, now):
        refuse_without_round(headquarters)
        found = ruling_on(headquarters.state, (entry, event_id(headquarters.state, event)), answered, by or NOBODY, now)
        if by:
            headquarters.add([found.said], now)
    written = f"Written down, by {by}." if by else "Nothing is written down. Say it again with --by NAME if it is to be so."
    return f"{found.words}\n{written}"


def where(settings: Settings, go_on: bool) -> str:
    """Says where a round stands; `go_on`: writes down first what is due by itself. Raises FileRefused, NoRound."""
    with headquarters_in(settings, "Look where a round stands") as (headquarters, now):
        refuse_without_round(headquarters)
        for digest in headquarters.unchecked() if go_on else ():
            headquarters.check_here(digest, now)
        written = f"Written: {say('records', n=headquarters.go_on(now))}.\n" if go_on else ""
        return f"{written}{where_it_stands(headquarters.state, now)}"


def book_of(settings: Settings, folder: Path, names: bool, hand_ins: bool) -> str:
    """Writes the book of the round in a data folder, and says so. Raises FileRefused, BadBook."""
    with headquarters_in(settings, "Write the book of a round", folder.name) as (headquarters, _):
        people = headquarters.people() if names else ()
        came = headquarters.hand_ins() if hand_ins else ()
        root = write_book(folder, headquarters.records, headquarters.state, people, headquarters.receipts(), came)
    return f"Written: {folder}, {'with' if names else 'without'} names. Its root: {root}"


def prove_line(book: Path, entry: int, event: str, file: Path) -> str:
    """Writes the proof of a line of a book, and says so. Raises FileRefused, BadBook, BadProof."""
    look_for_place(file)
    found = recount_book(book)
    if not found.holds:
        raise FileRefused(f"This book does not say what its records give, so it proves nothing. {found.faults[0]}")
    proof = prove(found.state, (entry, event_id(found.state, event)))
    write_whole(file, proof)
    return f"Written: {file} ({len(proof)} bytes). It is checked against the root that was published:\n{roll_root(found.state)}"


def _when(typed: str, what: str) -> tuple[int, str]:
    """A time as Unix milliseconds and its zone. what: of what it is. Raises FileRefused for one without a zone."""
    try:
        when = read_time(typed)
        if when.tzinfo is None:
            raise ValueError(typed)
    except ValueError:
        raise FileRefused(f"Say the {what} with its zone, such as 2027-03-01T20:00+01:00.") from None
    return round(when.timestamp() * 1000), zone_of(when)


def _places(file: CompetitionFile, typed: Sequence[str]) -> dict[str, int]:
    """By division id, how many are invited, from NAME=NUMBER. Raises FileRefused."""
    ids = {one.name: one.id for one in file.divisions}
    found = {}
    for one in typed:
        name, _, number = one.rpartition("=")
        if name not in ids or not re.fullmatch(r"[0-9]{1,6}", number):
            raise FileRefused(f"Say places as NAME=NUMBER with one of these divisions: {', '.join(ids)}.")
        found[ids[name]] = int(number)
    return found


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as wrong:
        raise FileRefused(f"The file {file} can't be read: {wrong.strerror}.") from None


def _text(file: Path) -> str:
    try:
        return _bytes(file).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileRefused(f"The file {file} is not UTF-8 text.") from None
