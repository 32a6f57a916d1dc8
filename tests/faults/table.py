"""What the faults' tests share: a teller for each, and the table of what came of them all."""

from collections.abc import Callable, Iterator

import pytest

from tests.faults.ground import Ground
from tests.faults.teller import Teller

HEADS = ("tried", "lost", "doubled", "misplaced", "sentences")
TellOf = Callable[[str, Ground], Teller]


@pytest.fixture
def tell_of(request: pytest.FixtureRequest) -> Iterator[TellOf]:
    """A teller for a fault. What it heard, and what became of the marks, is a line of the table at the end."""
    tellers: list[Teller] = []

    def made(fault: str, ground: Ground) -> Teller:
        tellers.append(Teller(fault, ground))
        return tellers[-1]

    yield made
    for teller in tellers:
        assert teller.heard, "nobody was listened to"
        request.node.user_properties.append(("told", teller.row))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table: each fault, what came of its marks, how many sentences were checked; with -v the sentences too."""
    reports = [report for outcome in ("", "failed", "error") for report in terminalreporter.stats.get(outcome, [])]
    rows = [row for report in reports for name, row in getattr(report, "user_properties", ()) if name == "told"]
    if not rows:
        return
    terminalreporter.section("what was told under each fault")
    terminalreporter.write_line(f"{'':60} {' '.join(f'{head:>9}' for head in HEADS)}")
    for fault, *counts, heard in rows:
        numbers = " ".join(f"{count:>9,}" for count in [*counts, sum(heard.values())])
        terminalreporter.write_line(f"{fault:60} {numbers}")
        if terminalreporter.verbosity > 0:
            for words, times in sorted(heard.items()):
                terminalreporter.write_line(f"    {times:>4}x {words}")
