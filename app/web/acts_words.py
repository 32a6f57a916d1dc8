"""What each way of changing something is called in the record of what was done: a kind to sort by, and words a person reads."""

import re
from collections.abc import Mapping

# By address. Who only looks, and changes nothing, stands in LOOKS; marks are a record of their own.
SAID: Mapping[str, tuple[str, str]] = {
    "/desk/enter": ("login", "Log in at the desk"),
    "/desk/leave": ("login", "Leave the desk"),
    "/desk/password": ("login", "Change the desk's password"),
    "/review/enter": ("login", "Log in to the review"),
    "/review/leave": ("login", "Leave the review"),
    "/review/password": ("login", "Set the head judge's password"),
    "/pair": ("device", "Take an invitation"),
    "/demo/seat": ("device", "Take a seat of the demo"),
    "/desk/tablets": ("device", "Invite a device"),
    "/desk/tablets/asking/{key}/in": ("device", "Let a device in"),
    "/desk/tablets/asking/{key}/no": ("device", "Turn a device away"),
    "/desk/tablets/here": ("device", "Take a lane in the desk's own browser"),
    "/desk/tablets/rule": ("device", "Say whether the desk is asked about each device"),
    "/desk/tablets/{device_id}/away": ("device", "End a device's pairing"),
    "/desk/tablets/{device_id}/name": ("device", "Name a device"),
    "/desk/heats/{heat_id}/go": ("heat", "Give a heat its GO"),
    "/desk/heats/{heat_id}/hold": ("heat", "Hold a heat"),
    "/desk/heats/{heat_id}/go-on": ("heat", "Let a held heat go on"),
    "/desk/heats/{heat_id}/abort": ("heat", "Abort a heat"),
    "/desk/heats/{heat_id}/restart": ("heat", "Restart a heat"),
    "/desk/heats/{heat_id}/close": ("heat", "Close a heat early"),
    "/desk/lanes/{assignment}/shift": ("heat", "Shift a lane that was started by hand"),
    "/desk/lanes/{assignment}/call": ("heat", "Make a call on a lane"),
    "/desk/lanes/{assignment}/clear": ("heat", "Take down the medic's word on a lane"),
    "/desk/lanes/{assignment}/judge": ("heat", "Change a lane's judge"),
    "/desk/lanes/{assignment}/again": ("heat", "Grant a run again"),
    "/review/lanes/{assignment}/rule": ("ruling", "Make a ruling"),
    "/review/lanes/{assignment}/flag": ("ruling", "Settle a flag"),
    "/review/lanes/{assignment}/undo/{ruling_id}": ("ruling", "Take a ruling back"),
    "/review/protests": ("ruling", "File a protest at the desk"),
    "/review/protests/{protest}": ("ruling", "Answer a protest"),
    "/review/events/{event}/sign-off": ("ruling", "Sign an event's results off"),
    "/review/events/{event}/open": ("ruling", "Open a signed event again"),
    "/protest/{token}": ("ruling", "File a protest by an entry's own link"),
    "/desk/competition": ("setup", "Store the competition's name and rules"),
    "/desk/divisions": ("setup", "Add a division"),
    "/desk/divisions/{key}": ("setup", "Change a division"),
    "/desk/divisions/{key}/delete": ("setup", "Delete a division"),
    "/desk/divisions/{key}/move": ("setup", "Move a division"),
    "/desk/clubs": ("setup", "Add a club"),
    "/desk/clubs/{key}": ("setup", "Change a club"),
    "/desk/clubs/{key}/delete": ("setup", "Delete a club"),
    "/desk/athletes/{key}": ("entry", "Change an athlete"),
    "/desk/athletes/{key}/delete": ("entry", "Delete an athlete"),
    "/desk/entries/new": ("entry", "Add an entry"),
    "/desk/entries/paste": ("entry", "Add entries pasted as lines"),
    "/desk/entries/file": ("file", "Import a list of entries"),
    "/desk/entries/file/back": ("file", "Take an import of entries back"),
    "/desk/entries/{key}": ("entry", "Change an entry"),
    "/desk/entries/{key}/delete": ("entry", "Delete an entry"),
    "/desk/entries/{key}/move": ("entry", "Move an entry"),
    "/desk/checkin/name": ("entry", "Say who is at the door"),
    "/desk/checkin/{key}": ("entry", "Store what was measured at the door"),
    "/desk/checkin/{key}/seen": ("entry", "Note who is here, or whose waiver was seen"),
    "/desk/events/new": ("event", "Add an event"),
    "/desk/events/new/{preset}": ("event", "Add an event from a preset"),
    "/desk/events/{key}": ("event", "Change an event"),
    "/desk/events/{key}/delete": ("event", "Delete an event"),
    "/desk/events/{key}/move": ("event", "Move an event"),
    "/desk/events/{key}/markings": ("event", "Store an event's markings"),
    "/desk/events/{key}/openers": ("event", "Store an event's openers"),
    "/desk/events/{key}/variants": ("event", "Say who does which variant"),
    "/desk/cut": ("event", "Make heats from a standing"),
    "/desk/overall": ("event", "Choose the rule of the overall standing"),
    "/desk/heats": ("plan", "Fill heats from the entries"),
    "/desk/heats/new": ("plan", "Add a heat"),
    "/desk/heats/{key}/lanes": ("plan", "Change who stands in a heat"),
    "/desk/heats/{key}/delete": ("plan", "Delete a heat"),
    "/desk/judges": ("plan", "Add a judge"),
    "/desk/judges/paste": ("plan", "Add judges pasted as lines"),
    "/desk/judges/{key}": ("plan", "Change a judge"),
    "/desk/judges/{key}/away": ("plan", "Say whether a judge is here"),
    "/desk/judges/{key}/delete": ("plan", "Delete a judge"),
    "/desk/plan": ("plan", "Have a plan made"),
    "/desk/plan/back": ("plan", "Take back a change of the plan"),
    "/desk/plan/drop": ("plan", "Drop the draft of a plan"),
    "/desk/plan/enough": ("plan", "End the search for a plan"),
    "/desk/plan/heats/{event}/{group}": ("plan", "Keep a choice in the plan"),
    "/desk/plan/late": ("plan", "Change the day late"),
    "/desk/plan/let-go": ("plan", "Let go what was kept in the plan"),
    "/desk/plan/publish": ("plan", "Publish the plan"),
    "/desk/plan/rules": ("plan", "Change the rules of the day"),
    "/desk/plates": ("setup", "Add a set of plates"),
    "/desk/plates/lanes": ("setup", "Give lanes their plates"),
    "/desk/plates/{key}": ("setup", "Change a set of plates"),
    "/desk/plates/{key}/copy": ("setup", "Copy a set of plates"),
    "/desk/plates/{key}/delete": ("setup", "Delete a set of plates"),
    "/desk/practice/rules": ("setup", "Change what practice asks"),
    "/desk/practice/together": ("setup", "Begin or end the count of ten"),
    "/ten/count": ("setup", "Send in a count of ten"),
    "/train/set": ("setup", "Finish a practice set"),
    "/desk/paper/key/{assignment}": ("paper", "Key a paper sheet in"),
    "/desk/paper/key/{assignment}/settle": ("paper", "Settle what two people keyed in"),
    "/desk/paper/key/{assignment}/back": ("paper", "Take a keyed sheet back"),
    "/desk/backups/totals": ("paper", "Key totals in that a judge read out"),
    "/desk/backups/marks": ("file", "Take the marks that a tablet saved"),
    "/desk/backups/now": ("file", "Make a backup now"),
    "/desk/backups/folder": ("file", "Say where backups go"),
    "/desk/import": ("file", "Import a competition file"),
    "/desk/halls": ("file", "Take another hall's file"),
    "/desk/halls/settle": ("file", "Settle what two halls' files differ in"),
    "/desk/halls/{digest}/aside": ("file", "Put another hall's file aside"),
}
LOOKS = frozenset(
    {
        *("/pair/look", "/desk/events/look", "/desk/events/dry-run", "/desk/events/new/{preset}/look"),
        "/desk/events/new/{preset}/dry-run",
    }
)
# What leaves the desk as a file is on record too.
EXPORTS: Mapping[str, tuple[str, str]] = {
    "/desk/results.csv": ("file", "Take the results along as CSV"),
    "/desk/overall.csv": ("file", "Take the overall standing along as CSV"),
    "/desk/results-copy.zip": ("file", "Take the results along for a web space"),
    "/desk/competition.json": ("file", "Take the competition file along"),
    "/desk/halls/results.csv": ("file", "Take the results of all halls along as CSV"),
    "/desk/halls/overall.csv": ("file", "Take the overall standing of all halls along as CSV"),
    "/desk/halls/competition.json": ("file", "Take the competition file of all halls along"),
    "/desk/done.csv": ("file", "Take the record of what was done along as CSV"),
}


def _pattern(address: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>[^/]+)", re.escape(address)))


# Addresses with fewer gaps first: /desk/judges/paste is no judge called “paste”.
_PATTERNS = tuple((_pattern(address), SAID[address]) for address in sorted(SAID, key=lambda one: one.count("{")))


def said_of(method: str, path: str) -> tuple[str, str, dict[str, str]] | None:
    """The kind and the words of a request, and what is in the gaps of its address; None for what leaves no line."""
    if method == "GET":
        kind, words = EXPORTS.get(path, ("", ""))
        return (kind, words, {}) if kind else None
    if method != "POST" or path == "/marks":
        return None
    for pattern, (kind, words) in _PATTERNS:
        if found := pattern.fullmatch(path):
            return kind, words, found.groupdict()
    return None
