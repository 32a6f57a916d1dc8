"""What can go wrong at a first start, as sentences: one table of the signs by which an installer or a system tells it."""

import re


class Trouble(Exception):
    """Raised when the app can't be made ready; its text is a sentence for the person who started it."""


NETWORK = (
    "The first start needs the internet once, to fetch the packages that Lane Ledger is built on; it could not reach them. "
    "Connect this computer for a minute and start again. After that it needs no internet."
)
WRONG_PACKAGE = "A downloaded package is not the one that was tested: its fingerprint differs. It was not installed."
NO_SAFE_CONNECTION = (
    "The package index could not be reached safely. Check this computer's date, and whether the network asks you to sign in."
)
NOT_OFFERED = (
    "A package that Lane Ledger needs is not offered ready-made for this kind of computer or this version of Python, and nothing "
    "is built here. On an ordinary 64-bit computer, install Python 3.13 from python.org and start with that one."
)
NOT_BUILT = (
    "A package was about to be built on this computer, and that failed. Lane Ledger uses ready-made ones only: look for a "
    "setting of pip here that asks for source (PIP_NO_BINARY), or install Python 3.13 from python.org and start with that one."
)
FULL = "The disk is full. Free about 800 MB and start again."
NOT_YOURS = "This folder can't be written to. Copy Lane Ledger to a folder of your own and start again."
HELD = (
    "Windows did not let a file in Lane Ledger's folder be written or replaced. Close every other Lane Ledger and start again. "
    "If that does not help: a folder such as Program Files, or one that is synchronised, is not the place; copy Lane Ledger to "
    r"one of your own, such as C:\lane-ledger."
)
TOO_LONG = (
    r"The name of a file would be too long: Lane Ledger is too deep in folders. Copy it to one with a short name, such as "
    r"C:\lane-ledger, and start again."
)

# Words in what an installer or the system says, and what they mean for the person at the keyboard. The first found is told.
TROUBLES = (
    ("DO NOT MATCH THE HASHES", WRONG_PACKAGE),
    ("No space left", FULL),
    ("[WinError 112]", FULL),
    ("[WinError 206]", TOO_LONG),
    ("Long Path support", TOO_LONG),
    ("File name too long", TOO_LONG),
    ("[WinError 5]", HELD),
    ("[WinError 32]", HELD),
    ("Permission denied", NOT_YOURS),
    ("Read-only file system", NOT_YOURS),
    ("Failed building wheel", NOT_BUILT),
    ("Failed to build", NOT_BUILT),
    ("metadata-generation-failed", NOT_BUILT),
    ("subprocess-exited-with-error", NOT_BUILT),
    ("SSLError", NO_SAFE_CONNECTION),
    ("NewConnectionError", NETWORK),
    ("ConnectTimeout", NETWORK),
    ("Max retries exceeded", NETWORK),
    ("Connection refused", NETWORK),
    ("name resolution", NETWORK),
    ("getaddrinfo failed", NETWORK),
    ("ProxyError", NETWORK),
    ("No matching distribution", NOT_OFFERED),
)
MISSING = re.compile(r"No matching distribution found for ([\w.-]+)")


def meaning(said: str) -> str:
    """What the words of an installer or of the system mean, as a sentence."""
    told = concerning_the_missing(said)
    for sign, sentence in TROUBLES:
        if sign in told:
            return sentence
    errors = [line for line in said.splitlines() if line.startswith("ERROR")]
    return "The packages could not be installed. " + (errors[-1] if errors else said.strip() or "The installer gave no reason.")


def concerning_the_missing(said: str) -> str:
    """What was said, without the trouble that an installer had on its way to a package that it reached all the same.

    It tells a package that it can't reach and one that is not offered by the same last line; before it, it names the address
    that it could not reach, in which the package's name stands.
    """
    missing = MISSING.search(said)
    if missing is None:
        return said
    about = f"/{missing.group(1)}/"
    return "\n".join(line for line in said.splitlines() if "/simple/" not in line or about in line)
