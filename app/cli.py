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
    _serving(_command(commands, "demo", "an invented competition, part way through, made afresh", demo))
    _serving(_command(commands, "serve", "the server for a competition", serve))
    _command(commands, "test", "run all checks; with arguments only pytest, which gets them", run_tests)
    _command(commands, "bench", "measure what the project promises", run_bench)
    _command(commands, "schema", "print the JSON Schema of the competition file", schema)
    return top


def _command(commands: Any, name: str, what: str, do: Callable[[argparse.Namespace], int]) -> argparse.ArgumentParser:
    command: argparse.ArgumentParser = commands.add_parser(name, help=what, description=what[0].upper() + what[1:] + ".")
    command.set_defaults(do=do)
    return command


def _serving(command: argparse.ArgumentParser) -> None:
    command.add_argument("--data", type=Path, metavar="DIR", help="the folder that everything is kept in")
    command.add_argument("--port", type=int, metavar="N", help="the port (8765; 0: any free one)")
    command.add_argument("--host", metavar="H", help="the address to listen on (0.0.0.0: all; 127.0.0.1: this computer alone)")
    command.add_argument("--no-browser", action="store_true", help="do not open a browser")


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


def schema(_: argparse.Namespace) -> int:
    """Print the JSON Schema of the competition file."""
    from app.rules.document import CompetitionFile

    title = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    print(json.dumps(title | CompetitionFile.model_json_schema(), indent=2, ensure_ascii=False))
    return 0
