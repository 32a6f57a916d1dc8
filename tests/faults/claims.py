"""What the app says of marks, clock, store and line: a row for each sentence, and what must be so for it to be true.

A sentence that no row knows fails the tests: whoever writes one writes its row. `late_s` is how long a word may stand after it
has stopped being true, with the reason; without it the word may never be wrong. What commands say is in commands.py, what a
round's pages say in rounds.py.
"""

import re
from collections.abc import Iterator

from app.live.presence import SILENT_MS
from tests.faults.claiming import always, besides, number, says
from tests.faults.commands import COMMANDS
from tests.faults.ground import Facts
from tests.faults.rounds import ROUND

PAINT_MS = 1_000  # a busy machine paints late; a clock that was set anew is off by seconds
REPORT_S = 4.0  # a tablet reports every two seconds
SILENT_S = SILENT_MS / 1000 + 3.0  # how long nothing is heard before the line is called dead, and the page's next look
WAIT_S = 8.0  # a tablet that got no answer tries again within five seconds, and waits five for the answer
MARKS = r"(?P<n>[\d,]+|one) marks?"
UNITS_MS = {"s": 1000, "min": 60_000, "h": 3_600_000}
CLOCK = r"(?P<left>\d+) ms left"
SPAN = r"(?:\d+:)?\d+:\d\d"


def _all_well(facts: Facts, _said: re.Match[str]) -> bool:
    return facts.takes and facts.whole and facts.reached and facts.made == facts.stored


def _had_a_loss(facts: Facts, _said: re.Match[str]) -> bool:
    return facts.unsent is not None


STORE = (
    says(
        r"The disk of the desk's machine is full or failing: nothing was saved\. Free some space and send again\.",
        lambda facts, _: not facts.takes,
        WAIT_S,
    ),
    says(
        r"The file that everything is kept in may not be written to: nothing was saved\. Make it writable on the desk's "
        r"machine, or restore the newest backup into another folder\.",
        lambda facts, _: not facts.takes,
        WAIT_S,
    ),
    says(
        r"The file that everything is kept in was removed or replaced on the desk's machine, so nothing more is acknowledged\. "
        r"Do not stop the server: make a backup at the desk first, then restore it into a new folder\.",
        besides("the file removed"),
    ),
    says(
        r"The database can't be reached just now, so nothing was acknowledged\. Send again in a moment\.",
        lambda facts, _: not facts.takes,
        WAIT_S,
    ),
    says(
        r"This server has not heard of everything yet, so what is here could lack something and nothing was done\. "
        r"Try again in a moment\.",
        lambda facts, _: not facts.takes,
        WAIT_S,
    ),
    says(r"The server is shutting down: nothing was saved\. Send again in a moment\.", lambda facts, _: not facts.takes, WAIT_S),
    says(
        r"\d+ files? that (?:was|were) handed in (?:is|are) not in the data folder any more.+what is sent again is kept\.",
        besides("a file that was handed in removed"),
    ),
    says(
        MARKS + r" in the store (?:is|are) not as (?:it was|they were) written(?:, the first of them|:) number \d+ of .+?\. "
        r"Don't sign anything off; restore an earlier backup\.",
        lambda facts, _: not facts.whole,
    ),
)

# What a tablet says of its own marks. `shown` is what its strip counts, safe and not yet safe.
TABLET = (
    *STORE,
    says(MARKS + r" at the desk", lambda facts, said: number(said) <= facts.stored),
    says(r"No marks on this tablet", lambda facts, _: facts.waiting <= 0),
    says(r"(?P<n>\d+) waiting on this tablet", lambda facts, said: facts.waiting <= number(said) <= facts.made),
    says(CLOCK, lambda facts, said: facts.off_by_ms(number(said, "left")) <= PAINT_MS),
    says(r"Heat \d+ · .+", lambda facts, _: facts.reached and facts.takes and facts.paired, SILENT_S),
    says(r"No line to the desk\.", lambda facts, _: not facts.reached, WAIT_S),
    says(r"This tablet can't reach the desk(?:: no answer comes)?\.", lambda facts, _: not facts.reached, WAIT_S),
    says(r"The desk can't be reached\.", lambda facts, _: not facts.reached, WAIT_S),
    says(r"This tablet is on no network\.", lambda facts, _: facts.cut, WAIT_S),
    says(
        r"(?:Keep judging: m|M)arks are kept here(?: and are sent by themselves)?\.",
        lambda facts, _: facts.shown >= facts.made - facts.gone,
    ),
    says(r"The desk has ended this device's pairing\. Ask the desk for a new code\.", lambda facts, _: not facts.paired),
    says(
        r"The desk doesn't know this tablet\. Its marks are kept; pair it again at the desk\.",
        lambda facts, _: not facts.paired and facts.shown >= facts.made - facts.gone,
    ),
    says(r"This browser had lost (?:its )?marks\.", lambda facts, _: facts.unsent is not None),
    says(MARKS + r" came back from the second copy\.", lambda facts, said: number(said) <= (facts.unsent or 0)),
    says(r"All of them are back; nothing is missing\.", lambda facts, _: facts.gone == 0 and facts.shown >= facts.made),
    says(MARKS + r" had not been sent and (?:is|are) missing: tell the desk\.", lambda facts, said: number(said) == facts.gone),
    says(r"At least " + MARKS + r" .*missing.*\.", lambda facts, said: number(said) <= facts.gone),
    says(r"None is known to be missing, but the last ones before that may be: compare with the desk\.", _had_a_loss),
    says(
        r"Everything this tablet kept is gone\. What the desk holds comes back; nobody knows whether there was more: "
        r"tell the desk\.",
        _had_a_loss,
    ),
    says(
        r"What the desk holds comes back when the desk is reached; anything else is missing: tell the desk\.",
        lambda facts, _: not facts.reached,
        WAIT_S,
    ),
    says(r"This tablet can't keep marks on its own disk\. They last while this page stays open: .+\.", besides("no disk")),
    says(r"This tablet keeps its marks in its second store only\. Tell the desk between heats\.", besides("no first store")),
    says(
        r"(?P<n>\d+) marks? refused, not at the desk\..*",
        lambda facts, said: number(said) == facts.refused <= facts.waiting,
    ),
    says(r"Nobody knows how far off this clock is\.", besides("another laptop")),
    says(
        r"This clock may be (?P<n>\d+) (?P<unit>s|min|h) off(?:\.| until the desk answers\.)",
        lambda facts, said: (facts.error_ms or 0) <= number(said) * UNITS_MS[said["unit"]],
    ),
    says(r"Ask the desk\.", lambda facts, _: facts.reached, WAIT_S),
    says(r"The desk puts it right when it answers\.", lambda facts, _: not facts.reached, WAIT_S),
    says(r"We can't tell whether this browser keeps marks when its window is closed: .+\.", besides("plain http")),
    says(r"This looks like a private window: it would lose its marks .+\.", besides("a private window")),
    says(r"This tablet's storage is nearly full: delete something on it between heats\.", besides("no room")),
    says(r"This tablet has no start list yet\.", besides("no start list")),
    says(r"The desk can't be reached, and this tablet has no start list yet\. Trying again\.", besides("no start list")),
    says(r"Something else answers at the desk's address\.", besides("a stranger")),
    says(r"This tablet no longer trusts the desk\.", besides("a new certificate")),
    says(r"The desk could not read this mark\.", besides("an odd mark")),
    says(
        r"The desk has closed this tablet's line\.|This tablet isn't paired, or no longer\. Pair it at the desk\.",
        lambda facts, _: not facts.paired,
    ),
    says(
        r"Another tablet counts this lane(?: too\. Yours counts|: yours does not count)\. Call the desk\.", besides("two tablets")
    ),
    says(r"Clock started by hand on the whistle\.", besides("a clock by hand")),
    says(
        r"Ready\. Waiting for GO from the desk\.|\d+ checks? left, then wait for GO from the desk\.",
        lambda facts, _: not facts.under_way,
        REPORT_S,
    ),
    says(r"The desk stopped this heat\. It starts again with a new GO\.", lambda facts, _: facts.stopped),
)

# What a coach's phone says of its lifters' declarations, beside what any tablet says of itself. Of a lifter, the facts are those
# of the lane on which that lifter lifts; of the phone, those of all its lanes.
COACH = (
    *TABLET,
    says(r"Tell the marshal or the judge the loads\.", lambda facts, _: not facts.reached, WAIT_S),
    says(r"Quayside Open", lambda facts, _: facts.reached and facts.takes and facts.paired, SILENT_S),
    says(r"Declared, on its way to the desk", lambda facts, _: facts.waiting > facts.refused, WAIT_S),
    says(
        r"(?:Declared, a|A)t the desk(?:: the judge sees it when this turn comes)?",
        lambda facts, _: facts.made > facts.waiting == 0,
    ),
    says(r"Refused by the desk", lambda facts, _: facts.waiting >= facts.refused > 0),
    says(
        r"Nothing declared yet: choose your next load and declare it\.|Declare the next load\.",
        lambda facts, _: facts.made == facts.refused,
        PAINT_MS / 1000,
    ),
    says(r"The heat is run again: declare your opener anew\. It was .+\.", besides("a heat that is run again")),
    says(r"Declared by the (?:desk|judge)", besides("a load that others declared")),
    says(r"By the rule: nobody declared in time", besides("a load by the rule")),
    says(r"Locked: the bar has left the rack\.(?: What you declare now is for the next lift\.)?", besides("the bar out")),
    says(r"No attempts left\.", besides("no attempt left")),
    says(
        r"The order of lifting is as the desk said it (?P<n>\d+) s ago\.",
        lambda facts, said: not facts.reached and abs(number(said) - facts.out_s) <= SILENT_S,
        WAIT_S,
    ),
    says(r"The order of lifting is as the desk said it last\.", lambda facts, _: not facts.reached, WAIT_S),
)

# What the desk is told of other matters: nothing of marks, clock, store or line is claimed.
ELSEWHERE = tuple(
    says(words, always)
    for words in (
        r"Not said yet: .+\. Briefs and heat sheets show a gap there\.",
        r"The judge has not signed the sheet\.",
        r"It can't be kept awake from here\. .+",
        r"\d+ marks?: .+",  # what the rules find odd, see app/rules/count/flags.py
    )
)

DESK = (
    says(
        r"Nobody in the hall has reached this laptop yet\. A firewall may be in the way: test it with one phone now\.",
        lambda facts, _: "somebody from the hall" not in facts.besides,
    ),
    says(
        r"This server process hears nothing from the database, so .+\. It reconnects by itself\.",
        lambda facts, _: not facts.takes,
        WAIT_S,
    ),
    says(
        r"This server process has not heard of everything yet, so what it shows could lack something\. It catches up by itself\.",
        besides("several processes"),
    ),
    says(r"It sends more marks than hands can make in that time\. .+ end its pairing\.", besides("no hands")),
    *ELSEWHERE,
    *STORE,
    says(r"Nothing needs you now\.", _all_well, SILENT_S),
    says(r"Online", lambda facts, _: facts.reached, SILENT_S),
    says(rf"Offline for {SPAN}", lambda facts, _: not facts.reached, WAIT_S),
    says(r"None (?:seen|connected)", lambda facts, _: not facts.reached, WAIT_S),
    says(r"(?:, )?(?P<n>\d+) refused", lambda facts, said: number(said) == facts.refused <= facts.waiting, REPORT_S),
    says(
        r".+: (?P<n>\d+) marks? (?:was|were) refused and (?:is|are) not at the desk\..*",
        lambda facts, said: number(said) == facts.refused <= facts.waiting,
        REPORT_S,
    ),
    says(r"(?P<n>\d+) on the tablet", lambda facts, said: number(said) == facts.waiting, REPORT_S),
    says(
        r"clock ±(?P<n>\d+) ms",
        lambda facts, said: not facts.under_way or (facts.error_ms is not None and facts.error_ms <= number(said) + PAINT_MS),
        REPORT_S,
    ),
    says(
        r"heat (?P<state>Running|GO is set|Planned|Over|Stopped)", lambda facts, said: said["state"] in _states(facts), REPORT_S
    ),
    says(rf"Tablet offline for {SPAN}\.", lambda facts, _: not facts.reached, WAIT_S),
    says(
        r"When last in touch, it held " + MARKS + r" that (?:was|were) not at the desk\.",
        lambda facts, said: not facts.reached and number(said) <= facts.made,
        WAIT_S,
    ),
    says(r"A tablet counts on without the desk\.", always),
    says(MARKS + r" on it when last in touch", lambda facts, said: not facts.reached and number(said) <= facts.made, WAIT_S),
    says(r"Marks came in, but no tablet is connected now\.", lambda facts, _: facts.stored > 0 and not facts.reached, WAIT_S),
    says(r"No tablet has been seen\. Pair one, or judge on paper\.", lambda facts, _: not facts.reached, WAIT_S),
    says(
        r"Tablet is online, but (?P<n>\d+) marks wait on it\.",
        lambda facts, said: facts.reached and number(said) == facts.waiting,
        REPORT_S,
    ),
    says(
        r"The tablet's browser had lost its marks; all of them are back\.",
        lambda facts, _: facts.unsent is not None and facts.gone == 0,
        REPORT_S,
    ),
    says(
        r"The tablet's browser had lost its marks: " + MARKS + r" (?:is|are) missing for good\. Ask the judge for the totals\.",
        lambda facts, said: number(said) == facts.gone,
        REPORT_S,
    ),
    says(
        r"The tablet's browser had lost its marks: at least "
        + MARKS
        + r" (?:is|are) missing for good\. Ask the judge for the totals\.",
        lambda facts, said: number(said) <= facts.gone,
        REPORT_S,
    ),
    says(
        r"The tablet's browser had lost its marks\. None is known to be missing, but the last ones before that "
        r"may be: ask the judge\.",
        _had_a_loss,
        REPORT_S,
    ),
    says(
        r"The tablet has lost everything it kept; nobody knows whether marks are missing\. Ask the judge for the totals\.",
        _had_a_loss,
        REPORT_S,
    ),
    says(r"Tablet can't keep marks on its own disk: .+\.", besides("no disk")),
    says(r"clock by hand", besides("a clock by hand")),
    says(
        r"The disk was full and still has little space: marks may be refused\. Free some space now\.",
        lambda facts, _: not facts.takes or "little space" in facts.besides,
        WAIT_S,
    ),
    says(
        r"No line to the server\. What you see may be out of date; the lanes keep going\.",
        lambda facts, _: not facts.runs,
        WAIT_S,
    ),
)


def _states(facts: Facts) -> Iterator[str]:
    if facts.stopped:
        yield "Stopped"
    elif facts.clock is None:
        yield "Planned"
    elif facts.clock < 0:
        yield "GO is set"
    else:
        yield "Running" if facts.under_way else "Over"


TABLETS = (
    says(
        r"online, (?P<n>\d+) marks? refused and not here(?:, \d+ marks? still on it)?",
        lambda facts, said: facts.reached and number(said) == facts.refused <= facts.waiting,
        REPORT_S,
    ),
    says(r"online, has not reported yet what it holds", lambda facts, _: facts.reached, SILENT_S),
    says(r"online, but marks made on it may be missing", _had_a_loss, REPORT_S),
    says(r"online, nothing waits on it", lambda facts, _: facts.reached and facts.waiting == 0, REPORT_S),
    says(r"online, " + MARKS + r" still on it", lambda facts, said: facts.reached and number(said) == facts.waiting, REPORT_S),
    says(
        r"unreachable, " + MARKS + r" on it when last in touch",
        lambda facts, said: not facts.reached and number(said) <= facts.made,
        WAIT_S,
    ),
    says(r"unreachable", lambda facts, _: not facts.reached, WAIT_S),
)

BACKUPS = (
    says(
        r"Written and read back; (?:one mark|\d+ marks) in it (?:was|were) already damaged\. Keep the "
        r"earlier ones",
        lambda facts, _: facts.backups > 0 and not facts.whole,
    ),
    says(
        r"Written and read back; \d+ files? that (?:was|were) handed in (?:is|are) not beside it as (?:it|they) came\. Keep the "
        r"earlier ones",
        besides("a file that was handed in removed"),
    ),
    says(r"None since the server started", lambda facts, _: facts.backups == 0),
    says(r"Written, read back and complete", lambda facts, _: facts.backups > 0 and facts.whole),
)

HEALTH = (
    says(r"well: true|200|stores: true", lambda facts, _: facts.takes and facts.whole, REPORT_S),
    says(
        r"well: false|503|stores: false",
        lambda facts, _: not (facts.takes and facts.whole) or "little space" in facts.besides,
        WAIT_S,
    ),
    says(r"hears: true", lambda facts, _: facts.takes or "several processes" not in facts.besides, WAIT_S),
    says(r"hears: false", lambda facts, _: not facts.takes, WAIT_S),
)

BOARD = (says(r"No line to the desk\. Numbers as of \d+:\d\d(?: [AP]M)?\.", lambda facts, _: not facts.runs, WAIT_S),)

ANSWER = (*STORE, says(r"(?P<n>\d+) acknowledged", lambda facts, said: facts.acked == number(said) and facts.unkept == 0))

CLAIMS = {
    **COMMANDS,
    "tablet": TABLET,
    "coach": COACH,
    "desk": DESK,
    "tablets": TABLETS,
    "backups": BACKUPS,
    "health": HEALTH,
    "board": BOARD,
    "answer": ANSWER,
    "round": ROUND,
}
