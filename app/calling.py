"""What a person types to call Lane Ledger on this computer: told here, for every advice that names a command.

Read before anything is installed, as `first_start/` is.
"""

import shutil
import sys
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def command(arguments: str = "") -> str:
    """The command with its arguments, such as `python3 -m app demo`."""
    return f"{called(sys.platform == 'win32')} {arguments}".rstrip()


def called(windows: bool) -> str:
    """What stands before the arguments.

    Windows has `py`, which its installers bring; its own `python3` only leads to a shop. An installed package has its own name.
    """
    if not (PACKAGE.parent / "pyproject.toml").is_file():
        return "lane-ledger"
    if not windows:
        return "python3 -m app"
    return "py -m app" if shutil.which("py") else "python -m app"
