"""The command line: what can be asked of Lane Ledger, each command in words. Errors are told once, here, as sentences."""

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from app import __version__

# Every command imports what it needs when it runs: the web framework and the tables take half a second to import, and neither
# `schema` nor `recount` needs them.

PASS_ON = (["test"], ["bench"])  # what follows these is not ours to understand
HELP = (["-h"], ["--help"])

Flags = Callable[[argparse.ArgumentParser], None]


class Refused(Exception):
    """Raised by a command that can't do what was asked; its text is a sentence for the person."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit code: 0 done, 1 refused with a sentence, 2 not understood."""
    started = time.perf_counter()
    given = list(sys.argv[1:] if arguments is None else arguments)
    rest = given[1:] if given[:1] in PASS_ON and given[1:2] not in HELP else []
    asked = parser().parse_args(given[:1] if rest else given)
    asked.started, asked.rest = started, rest
    try:
        return int(asked.do(asked))
    except BrokenPipeError:
        return 1  # the reader of our output went away, which is its right
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130
    except Exception as wrong:
        if not is_sentence(wrong):
            raise
        print(wrong, file=sys.stderr)
        return 1


def is_sentence(wrong: Exception) -> bool:
    """Whether an error's text is meant for the person: ours are, a library's are not."""
    return type(wrong).__module__.split(".")[0] == "app"


def parser() -> argparse.ArgumentParser:
    """All commands and their flags."""
    top = argparse.ArgumentParser(prog="lane-ledger", description="Judge, count, score and publish a competition in a hall.")
    top.add_argument("--version", action="version", version=__version__)
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    _command(commands, "demo", "an invented competition, part way through, made afresh", demo, _data, _address)
    _command(commands, "serve", "the server for a competition", serve, _data, _address)
    _command(commands, "test", "run all checks; with arguments only pytest, which gets them", run_tests)
    _command(commands, "bench", "measure what the project promises", run_bench)
    _command(commands, "export", "write the competition file: everything, with all marks", export_competition, _file, _data)
    _command(commands, "import", "restore a competition file into an empty data folder", import_competition, _file, _data)
    _command(commands, "recount", "compute the standings from a competition file, by itself", recount, _file, _json)
    _command(commands, "schema", "print the JSON Schema of the competition file", schema)
    return top


def _command(commands: Any, name: str, what: str, do: Callable[[argparse.Namespace], int], *flags: Flags) -> None:
    command: argparse.ArgumentParser = commands.add_parser(name, help=what, description=what[0].upper() + what[1:] + ".")
    command.set_defaults(do=do)
    for add in flags:
        add(command)


def _data(command: argparse.ArgumentParser) -> None:
    command.add_argument("--data", type=Path, metavar="DIR", help="the folder that everything is kept in")


def _address(command: argparse.ArgumentParser) -> None:
    command.add_argument("--port", type=int, metavar="N", help="the port (8765; 0: any free one)")
    command.add_argument("--host", metavar="H", help="the address to listen on (0.0.0.0: all; 127.0.0.1: this computer alone)")
    command.add_argument("--no-browser", action="store_true", help="do not open a browser")


def _file(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", type=Path, metavar="FILE", help="the competition file")


def _json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="as JSON instead of a table")


def serve(asked: argparse.Namespace) -> int:
    """Run the server."""
    from app.serving import serve as serve_until_stopped

    return serve_until_stopped(settings_of(asked), asked.started)


def demo(asked: argparse.Namespace) -> int:
    """Run the server on an invented competition, made afresh."""
    from app.serving import serve as serve_until_stopped

    asked.data = asked.data or Path("data-demo")
    return serve_until_stopped(settings_of(asked, demo=True), asked.started)


def settings_of(asked: argparse.Namespace, **fixed: Any) -> Any:
    """The settings: flags first, then LANE_LEDGER_… variables, then the defaults."""
    from pydantic import ValidationError

    from app.settings import Settings

    given = {name: value for name in ("data", "port", "host") if (value := getattr(asked, name, None)) is not None}
    if getattr(asked, "no_browser", False):
        given["open_browser"] = False
    try:
        return Settings(**given, **fixed)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        raise Refused(f"The setting {first['loc'][0]} can't be {first['input']!r}: {first['msg']}.") from None


def run_tests(asked: argparse.Namespace) -> int:
    """Run all checks."""
    from app.checks import run_checks

    return run_checks(asked.rest)


def run_bench(asked: argparse.Namespace) -> int:
    """Run the benches."""
    from app.checks import run_benches

    return run_benches(asked.rest)


def export_competition(asked: argparse.Namespace) -> int:
    """Write the competition file; a server may be running meanwhile."""
    from app.files import export_to

    print(export_to(settings_of(asked), asked.file))
    return 0


def import_competition(asked: argparse.Namespace) -> int:
    """Restore a competition file into a data folder that holds no competition."""
    from app.files import import_from

    print(import_from(settings_of(asked), asked.file))
    return 0


def recount(asked: argparse.Namespace) -> int:
    """Print the standings that a competition file gives; neither a server nor a database is needed, only the rules."""
    from app.actions import recount as counting

    found = counting.recount(read_bytes(asked.file))
    sys.stdout.write(counting.recount_json(found) if asked.json else counting.recount_table(found))
    return 0


def read_bytes(file: Path) -> bytes:
    """What is in a file, or Refused."""
    try:
        return file.read_bytes()
    except OSError as wrong:
        raise Refused(f"The file {file} can't be read: {wrong.strerror}.") from None


def schema(_: argparse.Namespace) -> int:
    """Print the JSON Schema of the competition file."""
    from app.rules.document import CompetitionFile

    title = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    print(json.dumps(title | CompetitionFile.model_json_schema(), indent=2, ensure_ascii=False))
    return 0
