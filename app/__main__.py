"""`python3 -m app …` on a bare Python: makes .venv, installs the pinned packages, hands over to the command line.

Here, and in what is loaded before the command line, stands only what a bare and an old Python can read: see first_start/.
"""

import os
import subprocess
import sys

from app.first_start.packages import can_run_here, is_current, kind_of, own_python, prepare
from app.first_start.pythons import OLDEST
from app.first_start.troubles import Trouble


def main() -> int:
    """Make the app ready if it is not, then run the command line; returns the exit code."""
    arguments = sys.argv[1:]
    try:
        return start(arguments)
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def start(arguments: "list[str]") -> int:
    """Run the command line here if this Python can, else in .venv."""
    kind = kind_of(arguments)
    if sys.version_info[:2] >= OLDEST and can_run_here(kind):
        # Imported only now: it needs packages that a bare Python does not have.
        from app.cli import main as command_line

        return command_line(arguments)
    if not is_current(kind):
        prepare(kind)
    return hand_over(arguments)


def hand_over(arguments: "list[str]") -> int:
    """Go on in .venv's Python. On Windows a process can't be replaced, so this one waits for it."""
    command = [str(own_python()), "-m", "app", *arguments]
    # Text that no line of ours reads or writes (a library's, a folder's name) is UTF-8 too, whatever the system's encoding.
    surroundings = {"PYTHONUTF8": "1", **os.environ}
    if os.name != "nt":
        sys.stdout.flush()
        os.execve(command[0], command, surroundings)
    child = subprocess.Popen(command, env=surroundings)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:
            continue  # the child got the same Ctrl-C and ends by itself


if __name__ == "__main__":
    sys.exit(main())
