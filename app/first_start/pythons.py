"""Which Pythons take Lane Ledger, and which of them this computer has. Run as a script it prints what its Python is, as JSON."""

import importlib.util
import json
import os
import platform
import subprocess
import sys
import sysconfig
from typing import Any

OLDEST, NEWEST = (3, 11), (3, 14)
ADVISED = "3.13"  # what a person who has none that will do is told to install
OLDEST_MACOS = (11, 0)
AS_TOLD_TO_OLDER = (10, 16)  # what macOS 11 and newer call themselves to a Python that was built for an older one
ANSWERS_WITHIN_S = 20.0

# What Python calls the kinds of computer that all packages are offered for; a Mac's name tells more, and begins with macosx.
OFFERED_FOR = ("win-amd64", "linux-x86_64", "linux-aarch64")
INSTALL = f"Install the 64-bit Python {ADVISED} from python.org"
NOT_THIS_ONE = {
    "win-arm64": "it was made for ARM, for which Windows lacks some packages; an x64 Python runs on this computer too",
    "win32": "it was made for 32 bits, for which packages are no longer offered",
}


def this_python() -> "dict[str, Any]":
    """What the running Python says of itself."""
    return {
        "version": list(sys.version_info[:2]),
        "executable": sys.executable,
        "kind": platform.python_implementation(),
        "system": sysconfig.get_platform(),
        "macos": [int(part) for part in platform.mac_ver()[0].split(".") if part.isdigit()],
        "musl": "musl" in str(sysconfig.get_config_var("SOABI")),
        "free_threads": bool(sysconfig.get_config_var("Py_GIL_DISABLED")),
        "has_venv": all(importlib.util.find_spec(name) for name in ("venv", "ensurepip")),
        "has_pip": importlib.util.find_spec("pip") is not None,
    }


def unfit(about: "dict[str, Any]") -> str:
    """Why a Python won't do, as the end of a sentence; nothing if it will."""
    version, system = tuple(about["version"]), str(about["system"])
    if not OLDEST <= version <= NEWEST:
        return "it is Python " + dotted(version)
    if about["kind"] != "CPython":
        return f"it is {about['kind']}, for which packages are not offered"
    if about["free_threads"]:
        return "it is one without the global lock, for which packages are not offered"
    if system in NOT_THIS_ONE:
        return NOT_THIS_ONE[system]
    if system.startswith("macosx-"):
        too_old = bool(about["macos"]) and tuple(about["macos"]) < AS_TOLD_TO_OLDER
        return f"packages are offered from macOS {OLDEST_MACOS[0]} on" if too_old else ""
    if system.startswith("linux-") and about["musl"]:
        return "this Linux has a C library for which packages are not offered"
    return "" if system in OFFERED_FOR else f"packages are not offered for this kind of computer ({system})"


def taken() -> str:
    """Which Pythons are taken, in words."""
    return f"Lane Ledger takes Python {dotted(OLDEST)} to {dotted(NEWEST)}"


def dotted(version: "tuple[int, ...]") -> str:
    """A version as it is written."""
    return ".".join(str(part) for part in version)


def another() -> "dict[str, Any] | None":
    """A Python on this computer that will do, the newest first; None if there is none."""
    for command in candidates(sys.platform == "win32"):
        about = asked(command)
        if about is not None and not unfit(about) and about["has_venv"]:
            return about
    return None


def candidates(windows: bool) -> "list[list[str]]":
    """The commands by which the Pythons that are taken might be called here."""
    minors = range(NEWEST[1], OLDEST[1] - 1, -1)
    return [command for minor in minors for command in (_on_windows(minor) if windows else _elsewhere(minor))]


def _on_windows(minor: int) -> "list[list[str]]":
    """By the launcher, and where the installers of python.org put it: there an x64 one is found beside one for ARM."""
    own, everybodys = os.environ.get("LOCALAPPDATA", ""), os.environ.get("PROGRAMFILES", "")
    inside = os.path.join(f"Python3{minor}", "python.exe")
    return [["py", f"-3.{minor}"], [os.path.join(own, "Programs", "Python", inside)], [os.path.join(everybodys, inside)]]


def _elsewhere(minor: int) -> "list[list[str]]":
    """On the path, and where the usual installers for a Mac put it: what is started by a double click has a path of its own."""
    name = f"python3.{minor}"
    framework = f"/Library/Frameworks/Python.framework/Versions/3.{minor}/bin"
    return [[name], *([f"{folder}/{name}"] for folder in (framework, "/opt/homebrew/bin", "/usr/local/bin"))]


def asked(command: "list[str]") -> "dict[str, Any] | None":
    """What the Python behind a command says of itself; None if there is none."""
    # Windows' launcher would fetch a version that is not there: a program that looks round must not install anything.
    quietly = dict(os.environ, PYTHON_MANAGER_AUTOMATIC_INSTALL="false")
    quietly.pop("PYLAUNCHER_ALLOW_INSTALL", None)
    try:
        said = subprocess.run(
            [*command, "-I", os.path.abspath(__file__)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=quietly,
            timeout=ANSWERS_WITHIN_S,
        )
        return dict(json.loads(said.stdout.decode("ascii"))) if said.returncode == 0 else None
    except (OSError, ValueError, subprocess.SubprocessError):
        return None


if __name__ == "__main__":
    print(json.dumps(this_python()))
