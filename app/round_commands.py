"""The commands of a round: its kit, a gym's key and hand-in, receipts, its book. What is done stands in rounds.py."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app import flags as f

SettingsOf = Callable[[argparse.Namespace], Any]


def add_round_commands(add: Callable[..., None], settings_of: SettingsOf) -> None:
    """Adds them to a parser. add: takes name, words, what is done, flags. settings_of: the settings that a command names."""

    def said(what: Callable[[Any, argparse.Namespace], str]) -> Callable[[argparse.Namespace], int]:
        """A command that prints what it has to say."""

        def done(asked: argparse.Namespace) -> int:
            print(what(settings_of(asked), asked))
            return 0

        return done

    def make_kit(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import KitFlags, kit_of  # half a second: web framework and tables

        given = KitFlags(asked.deadline, asked.opens, asked.film_word, asked.places, asked.round_name)
        return kit_of(settings, asked.folder, asked.gyms, given)

    def open_kit(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import open_here  # see make_kit

        return open_here(settings, asked.file, asked.slip)

    def bind(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import bind_key  # see make_kit

        return bind_key(settings, asked.file)

    def open_round(settings: Any, _: argparse.Namespace) -> str:
        from app.rounds import open_round as opened  # see make_kit

        return opened(settings)

    def film_words(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import words_of  # see make_kit

        return words_of(settings, asked.word)

    def hand_in(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import hand_in as handed  # see make_kit

        return handed(settings, asked.file, asked.replaces)

    def promise(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import promise as promised  # see make_kit

        return promised(settings, asked.digest, asked.gym, asked.receipt, asked.replaces)

    def take_in(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import take_in as taken  # see make_kit

        return taken(settings, asked.file, asked.receipt)

    def close_roll(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import close_roll as closed  # see make_kit

        return closed(settings)

    def draw(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import draw as drawn  # see make_kit

        return drawn(settings, asked.dice, asked.witnesses)

    def add_records(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import add as added  # see make_kit

        return added(settings, asked.file)

    def reviewer(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import reviewer_of  # see make_kit

        return reviewer_of(settings, asked.reviewer, asked.name_of, asked.gym)

    def look(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import look_of  # see make_kit

        return look_of(settings, asked.reviewer, asked.films, asked.file)

    def seal(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import seal_look  # see make_kit

        return seal_look(settings, asked.file, asked.code)

    def decide(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import rule_on  # see make_kit

        return rule_on(settings, asked.entry, asked.event, None, asked.by)

    def answer(settings: Any, asked: argparse.Namespace) -> str:
        from app.round.ruling import Answered  # see make_kit
        from app.rounds import rule_on

        return rule_on(settings, asked.entry, asked.event, Answered(asked.outcome, asked.why, asked.score), asked.by)

    def where(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import where as stands  # see make_kit

        return stands(settings, asked.go_on)

    def book(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import book_of  # see make_kit

        return book_of(settings, asked.folder, asked.names, asked.hand_ins)

    def heads(settings: Any, asked: argparse.Namespace) -> str:
        from app.rounds import heads_of  # see make_kit

        return heads_of(settings, asked.folder)

    def prove(_: Any, asked: argparse.Namespace) -> str:
        from app.rounds import prove_line  # see make_kit

        return prove_line(asked.folder, asked.entry, asked.event, asked.file)

    add("kit", "begin a round of many gyms: write its kit, and a slip for each gym", said(make_kit), _kit, f.data)
    add("open-kit", "open the kit of a round in an empty data folder, by a gym's slip", said(open_kit), _opens, f.data)
    add("bind", "bind a gym's key at the round's headquarters", said(bind), _binds, f.data)
    add("open-round", "make the opening word of a round, when it opens", said(open_round), f.data)
    add("film-words", "say the film word of each entry of a gym, by the opening word", said(film_words), _words, f.data)
    add("hand-in", "write what a gym hands in to a round, and say what it lacks", said(hand_in), _hands_in, f.data)
    add("promise", "take the digest of a gym's hand-in at headquarters", said(promise), _promises, f.data)
    add("take-in", "take a gym's hand-in at headquarters, and check it", said(take_in), _takes_in, f.data)
    add("close-roll", "close the roll of a round, whose root is then published", said(close_roll), f.data)
    add("draw", "take the dice that were rolled, and ask for the films that follow", said(draw), _draws, f.data)
    add("add", "add records to a round: looks, decisions, appeals and the like", said(add_records), _adds, f.data)
    add("reviewer", "add somebody who looks at films, and say the code that seals looks", said(reviewer), _reviews, f.data)
    add("look", "write the sheet of a reviewer's next look, which holds no claim", said(look), _looks, f.data)
    add("seal", "seal a look that a reviewer filled in", said(seal), _seals, f.data)
    add("decide", "say what the scale makes of a line, and with a name write it down", said(decide), _decides, f.data)
    add("answer", "say what an answer to an appeal does, and with a name write it down", said(answer), _answers, f.data)
    add("round", "say where a round stands, and write down what is due by itself", said(where), _goes_on, f.data)
    add("book", "write the book of a round as a folder", said(book), _book, f.data)
    add("heads", "write the heads of receipts and roll for any web space, as far as they are new", said(heads), _heads, f.data)
    add("prove", "write the proof that a line of a round's book stands on its roll", said(prove), _proves)


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
    command.add_argument("--round-name", default="", metavar="NAME", help="the round's name (the competition's)")


def _opens(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="KIT", help="the kit")
    command.add_argument("slip", metavar="SLIP", help="the code on the gym's slip")


def _words(command: argparse.ArgumentParser) -> None:
    command.add_argument("word", metavar="WORD", help="the opening word that headquarters said")


def _binds(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="BINDING", help="the file that the gym sent")


def _hands_in(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="a new file")
    _replaces(command)


def _promises(command: argparse.ArgumentParser) -> None:
    command.add_argument("digest", metavar="DIGEST", help="the digest that the gym says")
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


def _proves(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="BOOK", help="the folder of the book")
    _line(command)
    command.add_argument("file", type=Path, metavar="PROOF", help="a new file, for whoever asks")
