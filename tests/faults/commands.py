"""What commands say of marks, store and server: rows of the claims (claims.py)."""

import re

from tests.faults.claiming import always, besides, number, says
from tests.faults.ground import Facts

COMMAND = (
    says(r"Lane Ledger(?:, \d+ processes,)? is ready, after [\d.]+ s\.", always),
    says(r"On this computer: .+|Everything is kept in .+\. Stop with Ctrl-C\.", always),
    says(r"Stopped\. Everything acknowledged is kept\.", lambda facts, _: facts.unkept == 0),
    says(
        r"Stopped\. The file that everything was kept in had been removed or replaced: restore the newest backup into a new "
        r"folder\.",
        lambda facts, _: facts.unkept == facts.acked,
    ),
)

COUNTED = r"(?P<lost>[\d,]+) lost, (?P<twice>[\d,]+) doubled(?:, (?P<strange>[\d,]+) that no tablet made)?"
HURT = frozenset({"a server that loses", "a server that doubles", "the server stopped", "the server killed"})


def _counted(facts: Facts, said: re.Match[str]) -> bool:
    """What was read back is what the store's file holds: so many missing, so many that no tablet made."""
    strange = number(said, "strange") if said["strange"] else 0
    return number(said, "lost") == facts.made - facts.stored and strange + number(said, "twice") == facts.strange


def _whole(facts: Facts, _said: re.Match[str]) -> bool:
    return facts.made == facts.stored and not facts.strange and not facts.besides & HURT


# Figures that the commands measure themselves, with no other clock beside them.
MEASURED = tuple(
    says(words, always)
    for words in (
        r"(?:Network|Connection|Tap to desk|Tap to board|Clock|Server): .+",
        r"Not so: Marks waited too long for the desk: .+",
        r"Not so: The board was more than .+",
        r"Not so: A clock was wrong by more than it said; how often: \d+\.",
        r"- Sending took .+",
    )
)

REHEARSAL = (
    *MEASURED,
    says(
        r"Marks: (?P<n>[\d,]+) made on \d+ lanes? in [\d.]+ min; read back from the file: " + COUNTED + r"(?:, \d+ changed)?\.",
        lambda facts, said: number(said) == facts.made and _counted(facts, said),
    ),
    says(
        r"Marks: (?P<n>[\d,]+) made on .+ read back from the file: nothing is known\.",
        lambda facts, said: number(said) == facts.made and "the server killed" in facts.besides,
    ),
    says(r"Not so: The competition file does not hold what was judged: " + COUNTED + r"(?:, \d+ changed)?\.", _counted),
    says(r"Not so: \d+ marks were acknowledged and were not there later\.", besides("a server that loses")),
    says(r"Not so: The server ended by itself in the middle \(code -9\); .+", besides("the server killed")),
    says(r"Not so: What the server holds could not be read back, so .+", besides("the server killed")),
    says(r"Not so: The server did not take everything within .+", lambda facts, _: bool(facts.besides & HURT)),
    says(
        r"Not so: The server was silent for (?P<s>[\d.]+) s; at most 3 s are promised\.", lambda facts, said: float(said["s"]) > 3
    ),
    says(r"Everything that was looked at held\.", _whole),
    says(r"Not everything held; see above\.", always),
)

WHOLE = besides("a whole server")


def _holds(facts: Facts, said: re.Match[str]) -> bool:
    """A laptop of a whole server holds everything once; whatever it holds, the numbers add up."""
    lost, whole = number(said, "lost"), "a whole server" in facts.besides
    return lost == number(said, "all") - number(said) and not (whole and lost)


DRILL = (
    *MEASURED,
    says(r"- \d+ lanes?, \d+ marks?, all of them at the desk\.|- \d+ more marks, at the desk and in no backup\.", always),
    says(r"- After [\d.]+ s the new laptop holds (?P<n>\d+) of (?P<all>\d+) marks: " + COUNTED + r"\.", _holds),
    says(
        r"- \d+ marks that the old one had acknowledged were sent again\. Lanes that add up: (?P<n>\d+) of (?P<all>\d+)\.",
        lambda facts, said: number(said) == number(said, "all") or "a whole server" not in facts.besides,
    ),
    says(r"- That should have been \d+: the others were acknowledged by a laptop .+", besides("a server that loses")),
    says(r"- Backup: \d+ marks in .+, read back, moved to the stick\.", always),
    says(r"- Restored .+", always),
    says(
        r"- (?:The laptop is lost with everything|That laptop is lost as well|No tablet is paired with the new " r"laptop).+",
        always,
    ),
    says(r"- Nothing was lost and nothing was duplicated\.", WHOLE),
    says(r"- What went wrong stands above: \d+\.", besides("a server that loses")),
)

COMMANDS = {"command": COMMAND, "rehearsal": REHEARSAL, "drill": DRILL}
