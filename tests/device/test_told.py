"""An older word of the desk never replaces a newer one on a tablet, whichever way either came, and whatever came in between."""

from dataclasses import dataclass, field
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page

HEATS = ("heat_1", "heat_2")
Step = tuple[str, Any]


@dataclass
class Desk:
    """What a desk said so far. Each change gives a heat another GO, the later the greater. `said`: its words of single runs."""

    boot: int = 1
    at: int = 0
    go: dict[str, int] = field(default_factory=lambda: dict.fromkeys(HEATS, 0))
    said: list[dict[str, Any]] = field(default_factory=list)
    packets: list[dict[str, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._write_down()

    def move(self, heat: str) -> None:
        self.at += 1
        self.go[heat] = self.at
        self.said.append({"heat": heat, **self._run(heat), "told": self._told()})
        self._write_down()

    def swap(self) -> None:
        """Another laptop, with an older backup: its line of time begins anew, and so do the numbers of its runs."""
        self.boot += 1
        self.said.clear()
        for heat in HEATS:
            self.at += 1
            self.go[heat] = self.at
        self._write_down()

    def _run(self, heat: str) -> dict[str, Any]:
        return {"number": 1 + self.at // 3, "go_server_ms": self.go[heat], "state": "set", "holds": []}

    def _told(self) -> dict[str, Any]:
        return {"boot": f"boot-{self.boot}", "number": 0, "at": self.at / 10 - 100 * self.boot}

    def _write_down(self) -> None:
        heats = [{"id": heat, "run": self._run(heat), "assignment": {"id": heat}} for heat in HEATS]
        self.packets.append({"told": self._told(), "heats": heats})


@st.composite
def ways(draw: st.DrawFn) -> tuple[list[Step], Desk]:
    """A desk's moves, and how a tablet hears of them: late, in another order, twice, never; with reloads and other laptops."""
    desk, asked_since = Desk(), None
    steps: list[Step] = [("opened", None), ("asked", None), ("answered", desk.packets[0])]
    whats = ["move", "move", "tell", "tell", "tell", "ask", "answer", "answer", "reload", "swap"]
    for what in draw(st.lists(st.sampled_from(whats), min_size=4, max_size=24)):
        match what:
            case "move":
                desk.move(draw(st.sampled_from(HEATS)))
            case "swap":
                desk.swap()
                steps.append(("opened", None))
            case "tell" if desk.said:
                steps.append(("told", draw(st.sampled_from(desk.said))))
            case "ask" if asked_since is None:
                asked_since = len(desk.packets) - 1
                steps.append(("asked", None))
            case "answer" if asked_since is not None:
                steps.append(("answered", draw(st.sampled_from(desk.packets[asked_since:]))))
                asked_since = None
            case "reload":
                asked_since = None
                steps.append(("reload", None))
    return [*steps, ("reload", None), ("opened", None), ("asked", None), ("answered", desk.packets[-1]), ("reload", None)], desk


@given(ways())
def test_the_screen_never_goes_back_and_ends_at_the_newest(scripts: Page, made: tuple[list[Step], Desk]) -> None:
    steps, desk = made
    seen = scripts.evaluate("async (steps) => (await import('/tests/device/told.js')).played(steps)", steps)
    newest, boot = dict.fromkeys(HEATS, 0), ""
    for (what, word), shows in zip(steps[2:], seen[2:], strict=True):
        assert all(shows[heat] >= newest[heat] for heat in HEATS), f"{what} went back: {word}"
        newest = shows
        if what == "answered":
            boot = max(boot, word["told"]["boot"])
        if what == "told" and word["told"]["boot"] == boot:
            assert shows[word["heat"]] >= word["go_server_ms"], "what is told on the line is shown at once"
    assert newest == desk.go


WAITED = "async ([after, news, hangs]) => (await import('/tests/device/told.js')).waited(after, news, hangs)"


@pytest.mark.parametrize("after_ms", [1_000, 6_000, 30_000])
def test_a_desk_that_answers_late_is_waited_for_longer_each_time(scripts: Page, after_ms: int) -> None:
    there, asked = scripts.evaluate(WAITED, [after_ms, [], 0])
    assert there is not None, "what is taken to be dead after five seconds, again and again, is never heard"
    assert after_ms <= there < 2 * after_ms + 60_000 and asked <= 4


def test_what_hangs_from_before_a_line_was_opened_anew_does_not_hold_up_what_is_asked_then(scripts: Page) -> None:
    """Two answers never come, and a third is waited for when the network is back."""
    there, asked = scripts.evaluate(WAITED, [200, [30_000], 3])
    assert (there, asked) == (30_200, 4)
