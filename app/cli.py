"""The command line: what can be asked of Lane Ledger, each command in words. Errors are told once, here, as sentences."""

import argparse
import io
import json
import os
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from app import __version__, calling
from app import flags as f
from app.round_commands import add_round_commands

# Every command imports what it needs when it runs: the web framework and the tables take half a second to import, and neither
# `schema` nor `recount` needs them.

PASS_ON = (["test"], ["bench"])  # what follows these is not ours to understand
HELP = (["-h"], ["--help"])
THIS_COMPUTER, EVERY_ADDRESS = "127.0.0.1", "0.0.0.0"

Flags = Callable[[argparse.ArgumentParser], None]


class Refused(Exception):
    """Raised by a command that can't do what was asked; its text is a sentence for the person."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit code: 0 done, 1 refused with a sentence, 2 not understood."""
    started = time.perf_counter()
    speak_any_name()
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
        if not (is_sentence(wrong) or (isinstance(wrong, OSError) and wrong.strerror)):
            raise
        print(wrong if is_sentence(wrong) else of_the_system(wrong), file=sys.stderr)
        return 1


def speak_any_name() -> None:
    """Let names of any language out: into a file or another program as UTF-8, on a terminal as far as it has the letters."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding=None if stream.isatty() else "utf-8", errors="backslashreplace")


def is_sentence(wrong: Exception) -> bool:
    """Whether an error's text is meant for the person: ours are, a library's are not."""
    return type(wrong).__module__.split(".")[0] == "app"


def of_the_system(wrong: Exception) -> str:
    """What the system could not do, as a sentence: a disk that ran full, a stick that was pulled out, amid anything."""
    assert isinstance(wrong, OSError), "nothing else is told so"
    told = f"{wrong.filename} can't be used" if wrong.filename else "It could not be done"
    return f"{told}: {wrong.strerror}."


def parser() -> argparse.ArgumentParser:
    """All commands and their flags."""
    top = argparse.ArgumentParser(prog=calling.command(), description="Judge, count, score and publish a competition in a hall.")
    top.add_argument("--version", action="version", version=__version__)
    command = partial(_command, top.add_subparsers(title="commands", metavar="COMMAND", required=True))
    command("demo", "an invented competition, partway through, made anew each time", demo, f.data, f.address, f.hall)
    command("serve", "the server for a competition", serve, f.data, f.address, f.backups, f.processes)
    command("start", "ask which of these two you want (start.cmd and start.command do this)", start)
    command("test", "run all checks, or a room's tests by its name; other arguments are for pytest", run_tests)
    command("bench", "measure what the project promises", run_bench)
    command("export", "write the competition file: everything, with all marks", export_competition, f.file, f.data, f.start)
    command("import", "restore a competition file into an empty data folder", import_competition, f.file, f.data, f.begins)
    command("publish", "write the results as a folder for any web host", publish, f.results_folder, f.data)
    command("backup", "copy everything to a second place and read it back", back_up, f.folder, f.data)
    command("pack", "put the program and the newest backup on a stick, to start without internet", pack_up, f.stick, f.data)
    command("restore", "replace what a data folder holds by a backup", restore_backup, f.backup, f.data)
    command("drill", "lose a laptop on purpose, here and now, and start again from its backup", drill, f.size)
    command("rehearse", "drive a server as judges would, and print what this laptop and network can take", rehearse, f.lanes)
    command(
        "recount",
        "work out the standings from a competition file alone, or from the book of a round (a folder)",
        recount,
        f.recounted,
        f.json,
        f.digest,
        f.public,
    )
    add_round_commands(command, settings_of)
    command("read", "say how a written workout was understood; status 0 if nothing is open", read, f.text, f.json, f.answers)
    command("schema", "print the JSON Schema of the competition file", schema)
    return top


def _command(commands: Any, name: str, what: str, do: Callable[[argparse.Namespace], int], *added: Flags) -> None:
    command: argparse.ArgumentParser = commands.add_parser(name, help=what, description=what[0].upper() + what[1:] + ".")
    command.set_defaults(do=do)
    for add in added:
        add(command)


def serve(asked: argparse.Namespace) -> int:
    """Run the server."""
    return _serve(asked)


def demo(asked: argparse.Namespace) -> int:
    """Run the server on an invented competition, made afresh: for this computer alone, unless the hall or a host is asked for."""
    asked.data = asked.data or Path("data-demo")
    asked.host = asked.host or (EVERY_ADDRESS if asked.hall else THIS_COMPUTER)
    return _serve(asked, demo=True, database_url="")


def start(asked: argparse.Namespace) -> int:
    """Ask what is wanted and run it as the commands do: the demo, a competition of one's own, or one that came on a stick."""
    from app.starting import wanted  # a double click alone needs it

    commands = wanted(settings_of(argparse.Namespace()).store_file)
    return next((code for command in commands if (code := main(command))), 0)


def _serve(asked: argparse.Namespace, **fixed: Any) -> int:
    from app.serving import serve as serve_until_stopped  # a fifth of a second: settings, ports, certificates

    return serve_until_stopped(settings_of(asked, **fixed), asked.started)


def settings_of(asked: argparse.Namespace, **fixed: Any) -> Any:
    """The settings: flags first, then LANE_LEDGER_… variables, then the defaults."""
    from pydantic import ValidationError  # a tenth of a second, with the settings

    from app.settings import Settings

    names = ("data", "port", "host", "https_port", "name", "backups", "processes")
    given = {name: value for name in names if (value := getattr(asked, name, None)) is not None}
    for switched_off, name in (("no_browser", "open_browser"), ("no_https", "https")):
        if getattr(asked, switched_off, False):
            given[name] = False
    try:
        return Settings(**given, **fixed)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        name = str(first["loc"][0])
        said = "what it is" if "database_url" in name.lower() else repr(first["input"])  # it may hold a password
        raise Refused(f"The setting {name} can't be {said}: {first['msg']}.") from None


def run_tests(asked: argparse.Namespace) -> int:
    """Run all checks."""
    from app.checks import run_checks  # the processes that it starts and minds; no other command needs them

    return run_checks(asked.rest)


def run_bench(asked: argparse.Namespace) -> int:
    """Run the benches."""
    from app.checks import run_benches  # see run_tests

    return run_benches(asked.rest)


def export_competition(asked: argparse.Namespace) -> int:
    """Write the competition file, or the start file; a server may be running meanwhile."""
    from app.files import export_to, start_to  # half a second: web framework and tables

    if asked.without_entries and not asked.to_begin:
        raise Refused("The competition file holds its entries. To leave them out, ask for the start file: --to-begin")
    if asked.to_begin:
        print(start_to(settings_of(asked), asked.file, not asked.without_entries))
    else:
        print(export_to(settings_of(asked), asked.file))
    return 0


def import_competition(asked: argparse.Namespace) -> int:
    """Restore a competition file into a data folder that holds no competition."""
    from app.files import import_from  # see export_competition

    print(import_from(settings_of(asked), asked.file, asked.another_hall, asked.even_if_changed))
    return 0


def publish(asked: argparse.Namespace) -> int:
    """Write the results as plain pages and files; a server may be running meanwhile."""
    from app.publishing import keep_published, publish_to  # see export_competition

    if asked.every is None:
        print(publish_to(settings_of(asked), asked.folder, asked.initials))
    else:
        keep_published(settings_of(asked), asked.folder, asked.initials, asked.every)
    return 0


def back_up(asked: argparse.Namespace) -> int:
    """Copy everything to a second place and read it back; a server may be running meanwhile."""
    from app.files import backup_to  # see export_competition

    print(backup_to(settings_of(asked), asked.folder))
    return 0


def pack_up(asked: argparse.Namespace) -> int:
    """Put the program onto a stick; a server may be running meanwhile."""
    from app.keep.packing import pack_at_terminal  # see export_competition

    print(pack_at_terminal(settings_of(asked), asked.folder, asked.systems))
    return 0


def restore_backup(asked: argparse.Namespace) -> int:
    """Put a backup in the place of a data folder's store, after checking it; what was there is kept."""
    from app.files import restore_from  # see export_competition

    ask = input if sys.stdin.isatty() and not asked.yes else None
    print(restore_from(settings_of(asked), asked.backup, asked.even_if_older, asked.even_if_others, ask))
    return 0


def drill(asked: argparse.Namespace) -> int:
    """Lose a laptop on purpose and start again, on this computer and in a folder of its own; 0 if nothing was lost."""
    from app.rehearsal.drill import run_drill  # a second: a server and its tablets

    leave_the_database_alone()
    return run_drill(asked.lanes)


def rehearse(asked: argparse.Namespace) -> int:
    """Drive a server of its own as judges would, over the network that it finds; 0 if nothing was lost."""
    from app.rehearsal.rehearse import run_rehearsal  # see drill

    leave_the_database_alone()
    return run_rehearsal(asked.lanes, asked.minutes, asked.json)


def leave_the_database_alone() -> None:
    """Takes the address of a real competition's database out of this process's surroundings: it works in a folder of its own."""
    for name in ("DATABASE_URL", "LANE_LEDGER_DATABASE_URL"):
        os.environ.pop(name, None)


def recount(asked: argparse.Namespace) -> int:
    """Print the standings of a competition file, whether what was signed is there and its seal holds (1 if not); only the rules
    are needed."""
    if asked.proof:
        from app.rules.round.proving import proven, proven_words  # see below

        print(proven_words(proven(read_bytes(Path(asked.proof[0])), asked.proof[1])))
        return 0
    if asked.file is None:
        raise Refused("Say which file, or which book.")
    if asked.gym or asked.all or asked.file.is_dir():
        return recount_round(asked)
    from app.results import recount as counting  # a fifth of a second of the rule book, which a server does not need

    public = read_bytes(asked.public) if asked.public else None
    found = counting.recount(read_bytes(asked.file), asked.digest, public)
    sys.stdout.write(counting.recount_json(found) if asked.json else counting.recount_table(found))
    return 0 if found.holds else 1


def recount_round(asked: argparse.Namespace) -> int:
    """Print what came of a round from its book, and what the book says otherwise (1 if anything)."""
    if asked.digest or asked.public:
        raise Refused("The book of a round has no printed digest and no public copy: it is public, and has a root.")
    from app.round.hand_ins_again import round_recount  # see recount

    told, holds = round_recount(asked.file, asked.gym, asked.all, asked.json)
    sys.stdout.write(told)
    return 0 if holds else 1


def read_bytes(file: Path) -> bytes:
    """What is in a file, or Refused."""
    try:
        return file.read_bytes()
    except OSError as wrong:
        raise Refused(f"The file {file} can't be read: {wrong.strerror}.") from None


def read(asked: argparse.Namespace) -> int:
    """Print what a written workout was understood to be; 0 only if there is an event and nothing is open."""
    from app.compose.reading import read_plain, read_words  # the rule book and the parser: a third of a second

    try:
        text = sys.stdin.read() if str(asked.file) == "-" else read_bytes(asked.file).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused(f"The file {asked.file} is not text in UTF-8. Save it as UTF-8 and try again.") from None
    if unfit := [one for one in asked.answers if "=" not in one]:
        raise Refused(f"An answer is written ID=VALUE, and “{unfit[0]}” says no value.")
    answers = dict(one.partition("=")[::2] for one in asked.answers)
    plain = read_plain(text, answers)
    print(json.dumps(plain, ensure_ascii=False, indent=1) if asked.json else "\n".join(read_words(text, answers)))
    return 0 if plain["whole"] else 1


def schema(_: argparse.Namespace) -> int:
    """Print the JSON Schema of the competition file."""
    from app.rules.records.document import CompetitionFile  # see recount

    title = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    print(json.dumps(title | CompetitionFile.model_json_schema(), indent=2, ensure_ascii=False))
    return 0
