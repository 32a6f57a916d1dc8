"""The commands of a round: its kit, opening it in a gym, binding a gym's key, its book. What is done stands in rounds.py."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app import flags as f


def add_round_commands(add: Callable[..., None], settings_of: Callable[[argparse.Namespace], Any]) -> None:
    """Adds them to a parser. add: takes name, words, what is done, flags. settings_of: the settings that a command names."""

    def make_kit(asked: argparse.Namespace) -> int:
        """Write a round's kit, slips and first records."""
        from app.rounds import kit_of  # half a second: web framework and tables

        print(kit_of(settings_of(asked), asked.folder, asked.deadline, asked.gyms, asked.places, asked.round_name))
        return 0

    def open_kit(asked: argparse.Namespace) -> int:
        """Open a kit in an empty data folder."""
        from app.rounds import open_here  # see make_kit

        print(open_here(settings_of(asked), asked.file, asked.slip))
        return 0

    def bind(asked: argparse.Namespace) -> int:
        """Bind a gym's key."""
        from app.rounds import bind_key  # see make_kit

        print(bind_key(settings_of(asked), asked.file, asked.records))
        return 0

    def write_book(asked: argparse.Namespace) -> int:
        """Write the book of a round from its records."""
        from app.round.book_folder import write_book_of  # a fifth of a second of the rule book

        print(write_book_of(asked.folder, asked.records, asked.people))
        return 0

    add("kit", "write the kit of a round, its gyms' slips and its first records", make_kit, _kit, f.data)
    add("open-kit", "open the kit of a round in an empty data folder, by a gym's slip", open_kit, _opens, f.data)
    add("bind", "bind a gym's key at the round's headquarters", bind, _binds, f.data)
    add("book", "write the book of a round as a folder, from its records", write_book, _book)


def _folder(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder")


def _kit(command: argparse.ArgumentParser) -> None:
    _folder(command)
    command.add_argument("--deadline", required=True, metavar="TIME", help="with its zone, such as 2027-03-01T20:00+01:00")
    command.add_argument("--gyms", required=True, type=Path, metavar="CSV", help="the gyms: number, name, region")
    command.add_argument(
        "--places", action="append", default=[], metavar="NAME=N", help="how many of a division are invited; once for each"
    )
    command.add_argument("--round-name", default="", metavar="NAME", help="the round's name (the competition's)")


def _opens(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="KIT", help="the kit")
    command.add_argument("slip", metavar="SLIP", help="the code on the gym's slip")


def _binds(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="BINDING", help="the file that the gym sent")
    command.add_argument("records", type=Path, metavar="RECORDS", help="the records of the round")


def _book(command: argparse.ArgumentParser) -> None:
    command.add_argument("records", type=Path, metavar="RECORDS", help="the records of the round, one a line")
    _folder(command)
    command.add_argument("--people", type=Path, metavar="PEOPLE", help="who the entries are, one a line, each with its salt")
