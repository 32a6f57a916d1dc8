"""Passwords that are the first to be tried, and why. Anything else may be one (after NIST SP 800-63B, 5.1.1.2)."""

from collections.abc import Iterable

# Written from memory of what leaks are full of, eight signs and more; common practice, no source.
COMMON = frozenset(
    {
        *("password", "password1", "password12", "password123", "passw0rd", "p@ssw0rd", "passwort", "passwort1", "motdepasse"),
        *("contraseña", "iloveyou", "iloveyou1", "sunshine", "princess", "football", "football1", "baseball", "basketball"),
        *("superman", "batman123", "starwars", "pokemon1", "whatever", "trustno1", "letmein1", "letmein123", "welcome1"),
        *("welcome123", "admin123", "administrator", "changeme", "changeme1", "computer", "internet", "michelle", "jennifer"),
        *(
            "charlie1",
            "jordan23",
            "liverpool",
            "chelsea1",
            "arsenal1",
            "mustang1",
            "corvette",
            "maverick",
            "samsung1",
            "michael1",
        ),
        *(
            "qwerty123",
            "1q2w3e4r",
            "1qaz2wsx",
            "1q2w3e4r5t",
            "q1w2e3r4",
            "zaq12wsx",
            "asdf1234",
            "abcd1234",
            "abc12345",
            "a1b2c3d4",
        ),
        *("test1234", "testtest", "guest123", "master123", "dragon123", "monkey123", "shadow123", "login123", "secret123"),
    }
)
ROWS = ("01234567890", "abcdefghijklmnopqrstuvwxyz", "qwertyuiop", "qwertzuiop", "azertyuiop", "asdfghjkl", "zxcvbnm", "yxcvbnm")
FEWEST_SIGNS = 4  # different ones
# Of this place: whoever stands in the hall tries them first.
OURS = ("lane ledger", "head judge", "judge", "desk", "competition", "password", "organiser", "chalk")

COMMON_ONE = "That password is one of the first anybody would try. Three words only you would put together work well."
TOO_FEW = "That password repeats the same few characters. Three words only you would put together work well."
IN_A_ROW = "That password follows the keyboard. Three words only you would put together work well."
OF_THE_PLACE = "That password is a name that everybody in this hall can see. Three words only you would put together work well."


def weakness(password: str, names: Iterable[str] = ()) -> str:
    """What makes a password one of the first to be tried, as a sentence; empty for a good one.

    `names`: of the competition, its place and its entries, as everybody in the hall can read them.
    """
    bare = _bare(password)
    if len(set(bare)) < FEWEST_SIGNS:
        return TOO_FEW
    if password.casefold() in COMMON or bare in COMMON:
        return COMMON_ONE
    if any(bare in row or bare in row[::-1] or bare in row + row for row in ROWS):
        return IN_A_ROW
    without_numbers = bare.strip("0123456789")
    if any(without_numbers == _bare(name).strip("0123456789") for name in (*OURS, *names)):
        return OF_THE_PLACE
    return ""


def _bare(text: str) -> str:
    """Letters and digits alone, small."""
    return "".join(c for c in text.casefold() if c.isalnum())
