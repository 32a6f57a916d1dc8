"""What an installer and the systems say when something goes wrong becomes one sentence, and the right one."""

import pytest

from app.first_start.troubles import meaning

REACHED_LATE = """\
WARNING: Retrying (Retry(total=1)) after connection broken by 'NewConnectionError(...)': /simple/fastapi/
Collecting fastapi==1.0
ERROR: Could not find a version that satisfies the requirement ortools==9.15 (from versions: none)
ERROR: No matching distribution found for ortools==9.15
"""
NOT_REACHED = """\
WARNING: Retrying (Retry(total=0)) after connection broken by 'NewConnectionError(...)': /simple/ortools/
ERROR: Could not find a version that satisfies the requirement ortools==9.15 (from versions: none)
ERROR: No matching distribution found for ortools==9.15
"""


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE", "fingerprint differs"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("OSError: [WinError 112] Es steht nicht genug Speicherplatz zur Verfügung", "disk is full"),
        ("[Errno 13] Permission denied: '/opt/x'", "can't be written to"),
        ("OSError: [Errno 30] Read-only file system: '/Volumes/x'", "can't be written to"),
        ("PermissionError: [WinError 5] Zugriff verweigert: 'C:\\\\x\\\\_rust.pyd'", "Close every other Lane Ledger"),
        ("[WinError 32] The process cannot access the file because it is being used by another process", "Close every other"),
        ("OSError: [WinError 206] The filename or extension is too long: 'C:\\\\a'", "too deep in folders"),
        ("HINT: This error might have occurred since this system does not have Windows Long Path support enabled.", "too deep"),
        ("OSError: [Errno 36] File name too long: '/a'", "too deep in folders"),
        ("  error: subprocess-exited-with-error\n  × python setup.py bdist_wheel did not run", "about to be built"),
        ("ERROR: Failed building wheel for zeroconf", "about to be built"),
        ("Failed to establish a new connection: [Errno 11001] getaddrinfo failed", "needs the internet once"),
        ("Temporary failure in name resolution", "needs the internet once"),
        ("ERROR: No matching distribution found for ortools==9.15", "not offered ready-made"),
        (REACHED_LATE, "not offered ready-made"),
        (NOT_REACHED, "needs the internet once"),
        ("ERROR: something nobody has seen", "something nobody has seen"),
        ("[WinError 1392] The file or directory is corrupted", "[WinError 1392] The file or directory is corrupted"),
        ("", "gave no reason"),
    ],
)
def test_what_is_said_becomes_a_sentence(said: str, sentence: str) -> None:
    assert sentence in meaning(said)


def test_no_sign_hides_another_that_it_is_part_of() -> None:
    assert "[WinError 5]" in "[WinError 5] x" and "[WinError 5]" not in "[WinError 53] the network path was not found"
    assert "Close every other" not in meaning("[WinError 53] The network path was not found")
