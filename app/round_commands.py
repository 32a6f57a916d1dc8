"""The commands of a round: its kit, a gym's key and hand-in, receipts, its book. What is done stands in rounds.py."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app import flags as f

SettingsOf = Callable[[argparse.Namespace], Any]
# What a command does: with app.rounds, the settings and what was typed; it gives what it has to say.
Does = Callable[[Any, Any, argparse.Namespace], str]


def add_round_commands(add: Callable[..., None], settings_of: SettingsOf) -> None:
    """Adds them to a parser. add: takes name, words, what is done, flags. settings_of: the settings that a command names."""

    def said(does: Does) -> Callable[[argparse.Namespace], int]:
        """A command that prints what it has to say."""

        def done(asked: argparse.Namespace) -> int:
            from app import rounds  # half a second: web framework and tables

            print(does(rounds, settings_of(asked), asked))
            return 0

        return done

    for name, words, does, flags in ROWS:
        add(name, words, said(does), flags, f.data)
    prove = said(lambda do, _, a: do.prove_line(a.folder, a.entry, a.event, a.file))
    add("prove", "write the proof that a line of a round's book stands on its roll", prove, _proves)


def _no_flags(_: argparse.ArgumentParser) -> None:
    """A command without flags of its own."""


def _folder(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder")


def _kit(command: argparse.ArgumentParser) -> None:
    _folder(command)
    command.add_argument("--deadline", required=True, metavar="TIME", help="with its zone, such as 2027-03-01T20:00+01:00")
    command.add_argument("--gyms", required=True, type=Path, metavar="CSV", help="the gyms: number, name, region")
    command.add_argument(
        "--places", action="append", default=[], metavar="NAME=N", help="how many of a division are invited; once for each"
    )
    command.add_argument("--opens", default="", metavar="TIME", help="when the opening word comes out, with its zone (now)")
    command.add_argument("--film-word", type=int, default=6, metavar="N", help="letters of the word in a film (6; 0: no words)")
    command.add_argument(
        "--looks", type=int, default=7, metavar="N", help="most looks at a line: 3, 5, 7 or 9; each is another reviewer's (7)"
    )
    command.add_argument("--address", default="", metavar="URL", help="where gyms reach headquarters' server (nowhere)")
    command.add_argument("--round-name", default="", metavar="NAME", help="the round's name (the competition's)")


def _opens(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="KIT", help="the kit")
    command.add_argument("slip", nargs="?", default="", metavar="SLIP", help="the code on the gym's slip (later)")
    command.add_argument("--even-if-over", action="store_true", help="also a kit whose deadline is over by this laptop's clock")


def _words(command: argparse.ArgumentParser) -> None:
    command.add_argument("word", metavar="WORD", help="the opening word that headquarters said")


def _film(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILM", help="the film as the camera made it")


def _binds(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="BINDING", help="the file that the gym sent")


def _hands_in(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="a new file")
    _replaces(command)


def _promises(command: argparse.ArgumentParser) -> None:
    command.add_argument("digest", metavar="DIGEST", help="the digest that the gym says, or its letters")
    command.add_argument("gym", type=int, metavar="GYM", help="the gym's number")
    _receipt(command)
    _replaces(command)


def _takes_in(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="what the gym handed in")
    _receipt(command)


def _receipt(command: argparse.ArgumentParser) -> None:
    command.add_argument("receipt", type=Path, metavar="RECEIPT", help="a new file, for the gym")


def _replaces(command: argparse.ArgumentParser) -> None:
    command.add_argument("--replaces", metavar="DIGEST", help="the digest of the earlier hand-in that it is to stand for")


def _draws(command: argparse.ArgumentParser) -> None:
    command.add_argument("dice", metavar="DICE", help="the digits in the order in which they were rolled")
    command.add_argument(
        "--witness", dest="witnesses", action="append", required=True, metavar="NAME", help="who saw it; once for each"
    )


def _adds(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="records as JSON, one a line, without number and time")


def _line(command: argparse.ArgumentParser) -> None:
    command.add_argument("entry", type=int, metavar="ENTRY", help="the entry's number in the round")
    command.add_argument("event", metavar="EVENT", help="the event, by its id or its name")


def _reviews(command: argparse.ArgumentParser) -> None:
    _reviewer(command)
    command.add_argument("name_of", metavar="NAME", help="the name that looks are sealed under")
    command.add_argument("--gym", type=int, default=0, metavar="N", help="the own gym, whose films are never given (none)")


def _reviewer(command: argparse.ArgumentParser) -> None:
    command.add_argument("reviewer", metavar="REVIEWER", help="a short word for the reviewer")


def _looks(command: argparse.ArgumentParser) -> None:
    _reviewer(command)
    command.add_argument("films", type=Path, metavar="FILMS", help="the films as CSV: entry, event id, address")
    command.add_argument("file", type=Path, metavar="SHEET", help="a new file, for the reviewer")


def _seals(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="SHEET", help="the sheet, filled in")
    command.add_argument("code", metavar="CODE", help="the reviewer's code")


def _decides(command: argparse.ArgumentParser) -> None:
    _line(command)
    command.add_argument(
        "--by", default="", metavar="NAME", help="the head judge who says so; without it nothing is written down"
    )


def _answers(command: argparse.ArgumentParser) -> None:
    _decides(command)
    command.add_argument("outcome", choices=("upheld", "partly", "refused"), help="upheld: the claim stands after all")
    command.add_argument("--why", required=True, metavar="WHY", help="the reason")
    command.add_argument("--score", metavar="N", help="the score, where the appeal is met in part")


def _goes_on(command: argparse.ArgumentParser) -> None:
    command.add_argument("--go-on", action="store_true", help="write down lapses, looks asked for and invitations that are due")


def _book(command: argparse.ArgumentParser) -> None:
    _folder(command)
    command.add_argument("--names", action="store_true", help="with the names of the entries that came with a hand-in")
    command.add_argument("--hand-ins", action="store_true", help="with the hand-ins as they came, which hold names and marks")


def _heads(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder, or one that they were written into before")
    f.every(command)


def _proves(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="BOOK", help="the folder of the book")
    _line(command)
    command.add_argument("file", type=Path, metavar="PROOF", help="a new file, for whoever asks")


def _kit_of(do: Any, settings: Any, a: argparse.Namespace) -> str:
    given = do.KitFlags(a.deadline, a.opens, a.film_word, a.places, a.round_name, a.looks, a.address)
    return str(do.kit_of(settings, a.folder, a.gyms, given))


def _publish(_: Any, settings: Any, a: argparse.Namespace) -> str:
    from app.round_heads import heads_of, keep_heads  # as with the others

    if a.every is None:
        return heads_of(settings, a.folder)
    keep_heads(settings, a.folder, a.every)
    return ""


def _answer(do: Any, settings: Any, a: argparse.Namespace) -> str:
    return str(do.rule_on(settings, a.entry, a.event, do.Answered(a.outcome, a.why, a.score), a.by))


# Name, words, what it does, its own flags; each has the data folder's besides.
ROWS: tuple[tuple[str, str, Does, Callable[[argparse.ArgumentParser], None]], ...] = (
    ("kit", "begin a round of many gyms: write its kit, and a slip for each gym", _kit_of, _kit),
    (
        "open-kit",
        "open the kit of a round in an empty data folder, by a gym's slip",
        lambda do, s, a: do.open_here(s, a.file, a.slip, a.even_if_over),
        _opens,
    ),
    ("bind", "bind a gym's key at the round's headquarters", lambda do, s, a: do.bind_key(s, a.file), _binds),
    ("open-round", "make the opening word of a round, when it opens", lambda do, s, _: do.open_round(s), _no_flags),
    (
        "film-words",
        "say the film word of each entry of a gym, by the opening word",
        lambda do, s, a: do.words_of(s, a.word),
        _words,
    ),
    ("film-print", "say the print of a film, as it is handed in", lambda do, _, a: do.print_of_film(a.file), _film),
    (
        "hand-in",
        "write what a gym hands in to a round, and say what it lacks",
        lambda do, s, a: do.hand_in(s, a.file, a.replaces),
        _hands_in,
    ),
    (
        "promise",
        "take the digest of a gym's hand-in at headquarters",
        lambda do, s, a: do.promise(s, a.digest, a.gym, a.receipt, a.replaces),
        _promises,
    ),
    (
        "take-in",
        "take a gym's hand-in at headquarters, and check it",
        lambda do, s, a: do.take_in(s, a.file, a.receipt),
        _takes_in,
    ),
    ("close-roll", "close the roll of a round, whose root is then published", lambda do, s, _: do.close_roll(s), _no_flags),
    (
        "draw",
        "take the dice that were rolled, and ask for the films that follow",
        lambda do, s, a: do.draw(s, a.dice, a.witnesses),
        _draws,
    ),
    (
        "add",
        "add records to a round: looks, decisions, appeals and the like",
        lambda do, s, a: do.add(s, a.file),
        _adds,
    ),
    (
        "reviewer",
        "add somebody who looks at films, and say the code that seals looks",
        lambda do, s, a: do.reviewer_of(s, a.reviewer, a.name_of, a.gym),
        _reviews,
    ),
    (
        "look",
        "write the sheet of a reviewer's next look, which holds no claim",
        lambda do, s, a: do.look_of(s, a.reviewer, a.films, a.file),
        _looks,
    ),
    ("seal", "seal a look that a reviewer filled in", lambda do, s, a: do.seal_look(s, a.file, a.code), _seals),
    (
        "decide",
        "say what the scale makes of a line, and with a name write it down",
        lambda do, s, a: do.rule_on(s, a.entry, a.event, None, a.by),
        _decides,
    ),
    ("answer", "say what an answer to an appeal does, and with a name write it down", _answer, _answers),
    (
        "round",
        "say where a round stands, and write down what is due by itself",
        lambda do, s, a: do.where(s, a.go_on),
        _goes_on,
    ),
    (
        "book",
        "write the book of a round as a folder",
        lambda do, s, a: do.book_of(s, a.folder, a.names, a.hand_ins),
        _book,
    ),
    (
        "heads",
        "write the heads of receipts and roll, and the published standing, for any web space, as far as they are new",
        _publish,
        _heads,
    ),
)
