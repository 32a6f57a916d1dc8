"""The flags of the commands, each told once: what it is called, what it takes, what it means."""

import argparse
from pathlib import Path


def data(command: argparse.ArgumentParser) -> None:
    command.add_argument("--data", type=Path, metavar="DIR", help="the folder that everything is kept in")


def address(command: argparse.ArgumentParser) -> None:
    command.add_argument("--port", type=int, metavar="N", help="the port (8765; 0: any free one)")
    command.add_argument("--host", metavar="H", help="the address to listen on (0.0.0.0: all; 127.0.0.1: this computer alone)")
    command.add_argument("--https-port", type=int, metavar="N", help="the port for HTTPS (the one after --port)")
    command.add_argument("--no-https", action="store_true", help="speak plain HTTP only")
    command.add_argument("--name", metavar="NAME", help="the name or address that tablets keep (lane-ledger.local)")
    command.add_argument("--no-browser", action="store_true", help="do not open a browser")


def hall(command: argparse.ArgumentParser) -> None:
    command.add_argument("--hall", action="store_true", help="let tablets and phones in the hall in too, not just this computer")


def file(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="the competition file")


def recounted(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, nargs="?", metavar="FILE", help="the competition file, or the folder of a book")
    command.add_argument("--gym", nargs=2, metavar=("G", "HAND-IN"), help="of a book: one gym's hand-in, from its marks")
    command.add_argument("--all", action="store_true", help="of a book: every hand-in in its folder, from the marks")
    command.add_argument(
        "--proof", nargs=2, metavar=("PROOF", "ROOT"), help="instead: whether a proof shows a line under a published root"
    )


def begins(command: argparse.ArgumentParser) -> None:
    command.add_argument("--another-hall", action="store_true", help="start a separate hall from it")
    command.add_argument(
        "--even-if-changed", action="store_true", help="also when it does not match its seal, if it is all you have"
    )


def backups(command: argparse.ArgumentParser) -> None:
    command.add_argument("--backups", type=Path, metavar="DIR", help="the second place for backups, such as a USB stick")


def start(command: argparse.ArgumentParser) -> None:
    command.add_argument("--to-begin", action="store_true", help="the start file instead, for another hall: no marks, no secret")
    command.add_argument("--without-entries", action="store_true", help="with --to-begin: no entries and no heats either")


def processes(command: argparse.ArgumentParser) -> None:
    command.add_argument("--processes", type=int, metavar="N", help="how many server processes (1; more need DATABASE_URL)")


def folder(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="the second place, such as a folder on a USB stick")


def stick(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="the stick")
    command.add_argument("--for", dest="systems", default="", metavar="A,B", help="other laptops too: windows, macos, linux")


def every(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--every",
        type=int,
        metavar="SECONDS",
        help="keep writing what changed, this often, until Ctrl-C; also into a folder published before",
    )


def results_folder(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, metavar="FOLDER", help="a new or empty folder")
    command.add_argument("--initials", action="store_true", help="athletes by their initials only")
    every(command)


def backup(command: argparse.ArgumentParser) -> None:
    command.add_argument("backup", type=Path, metavar="BACKUP", help="the backup, or a folder (its newest backup is taken)")
    command.add_argument("--even-if-older", action="store_true", help="also when the folder holds more marks than the backup")
    command.add_argument("--even-if-others", action="store_true", help="also when the folder holds another competition")
    command.add_argument("--yes", action="store_true", help="do not ask")


def size(command: argparse.ArgumentParser) -> None:
    command.add_argument("--lanes", type=int, default=8, metavar="N", help="how many lanes the hall has (8)")


def lanes(command: argparse.ArgumentParser) -> None:
    command.add_argument("--lanes", type=int, default=20, metavar="N", help="how many lanes (20)")
    command.add_argument("--minutes", type=float, default=10.0, metavar="N", help="how long (10)")
    command.add_argument("--json", action="store_true", help="as JSON instead of words")


def json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="as JSON instead of a table")


def text(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="the workout as a text file; - for what is typed or piped in")


def answers(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--answer",
        action="append",
        default=[],
        dest="answers",
        metavar="ID=VALUE",
        help="the answer to a question; once for each",
    )


def digest(command: argparse.ArgumentParser) -> None:
    command.add_argument("--digest", default="", metavar="HEX", help="a digest from a printed results sheet, to be found in it")


def public(command: argparse.ArgumentParser) -> None:
    command.add_argument("--public", type=Path, metavar="PUBLIC", help="a public file, to check against this whole one")
