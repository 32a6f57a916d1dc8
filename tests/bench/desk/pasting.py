"""From a pasted workout to an event that runs, before a real browser: questions, clicks, and how long the page takes.

Of each set of texts by other people the one that takes the most answers, and of those the longest. It is pasted as it stands,
answered as somebody does who knows what was meant, made an event, and opened as its judges will see it. What a person takes to
read and to think is no part of it: it is told how much of the promised minute the page leaves for each click.
"""

import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, expect

from app.live.servertime import this_machine
from tests.bench.browser import chromium
from tests.bench.figures import Figure, Goal
from tests.bench.hall import slate_day_judged
from tests.bench.pages import a_desk
from tests.bench.servers import served
from tests.rules.reading import corpora

SETS = (
    *(corpora.OWN, corpora.UNSEEN, corpora.HELD_BACK, corpora.STRANGERS, corpora.SECOND_STRANGERS, corpora.THIRD_STRANGERS),
    *(corpora.FOURTH_STRANGERS, corpora.FIFTH_STRANGERS, corpora.SIXTH_STRANGERS, corpora.TEN_MANNERS),
)
PROMISED_S = 60
WHOLE = "Everything is understood."
# What is shown is of the text that stands in the field, and no question is under way.
SETTLED = """() => {
  const plain = (text) => text.replace(/\\s+/g, " ").trim();
  const shown = document.querySelector(".workout-text");
  const read = shown && plain(shown.textContent) === plain(document.querySelector("#text").value);
  return read && !document.querySelector(".htmx-request");
}"""


@dataclass(frozen=True, slots=True)
class Pasted:
    """How a text became an event: how many questions were answered, clicks made, answers typed, seconds passed on the page."""

    name: str
    questions: int
    clicks: int
    typed: int
    seconds: float

    @property
    def left_s(self) -> float:
        """The seconds of the promised minute that are left to a person for each click."""
        return (PROMISED_S - self.seconds) / self.clicks


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Pastes a text of each set."""
    pasted = []
    with tempfile.TemporaryDirectory() as folder:
        slate_day_judged(Path(folder), this_machine())
        desk = a_desk(Path(folder))
        with served(Path(folder)) as server, chromium() as browser:
            context = browser.new_context(base_url=server.url, permissions=["clipboard-read", "clipboard-write"])
            context.add_cookies([{"name": "ll_desk", "value": desk, "url": server.url}])
            page = context.new_page()
            for folder_of_texts in SETS:
                written, answers = hardest(folder_of_texts)
                tell(f"pasting: {folder_of_texts.name}: {written.name}, {len(written.text.splitlines())} lines")
                pasted.append(_paste(page, written, answers))
                one = pasted[-1]
                tell(f"  {one.questions} questions, {one.clicks} clicks, {one.typed} typed, {one.seconds:.1f} s of the page")
            context.close()
    return [*_each(pasted), *_of_all(pasted)]


def hardest(folder: Path) -> tuple[corpora.Written, dict[str, str]]:
    """Of a set, the text that takes the most answers, and of those the longest, with its answers."""
    found = [(one, corpora.answers_to(one)) for one in corpora.corpus(folder) if not one.plain.get("open")]
    return max(((one, told) for one, told in found if told is not None), key=lambda of: (len(of[1]), len(of[0].text)))


def _paste(page: Page, written: corpora.Written, answers: dict[str, str]) -> Pasted:
    page.goto("/desk/workout")
    page.evaluate("(text) => navigator.clipboard.writeText(text)", written.text)
    field = page.get_by_label("The workout")
    field.focus()
    begun, typed = time.perf_counter(), 0
    page.keyboard.press("ControlOrMeta+V")
    page.wait_for_function(SETTLED)
    for question, answer in answers.items():
        typed += _answer(page, question, answer)
    expect(page.locator("#look")).to_contain_text(WHOLE)
    page.get_by_role("button", name="Make this event").click()
    expect(page.locator(".notice").first).to_contain_text("Saved.")
    seconds = time.perf_counter() - begun
    _runs(page)
    return Pasted(written.name, len(answers), len(answers) + 1, typed, seconds)


def _answer(page: Page, question: str, answer: str) -> int:
    """Answers one question; 1 where the answer had to be typed."""
    usual = page.locator(f"[name='answer-{question}'][value='{answer}']")
    if usual.count():
        page.locator("label", has=usual).click()
    else:
        page.locator(f"[name='other-{question}']").fill(answer)
    # What is answered stands among the answers, or the page has no more to ask of it.
    page.wait_for_function("(id) => !document.querySelector(`.workout-open [name='answer-${id}']`)", arg=question)
    page.wait_for_function(SETTLED)
    return 0 if usual.count() else 1


def _runs(page: Page) -> None:
    """The event opens as its judges will see it, with nothing that stops it. Raises RuntimeError otherwise."""
    answer = page.goto(f"{page.url.partition('?')[0]}/dry-run")
    if answer is None or not answer.ok:
        raise RuntimeError(f"The event that was made does not run: {page.url}")


def _each(pasted: list[Pasted]) -> list[Figure]:
    return [
        Figure(
            f"pasting.{folder.name}.s",
            f"pasted, {folder.name.replace('_', ' ')}: {one.questions} questions, {one.clicks} clicks, {one.typed} typed",
            one.seconds,
            "s",
        )
        for folder, one in zip(SETS, pasted, strict=True)
    ]


def _of_all(pasted: list[Pasted]) -> list[Figure]:
    return [
        Figure("pasting.questions", "… the most questions", max(one.questions for one in pasted)),
        Figure("pasting.clicks", "… the most clicks", max(one.clicks for one in pasted)),
        Figure(
            "pasting.left_s",
            f"… of {PROMISED_S} s left to a person for each click, the least",
            min(one.left_s for one in pasted),
            "s",
            Goal("at least", 10),  # to read a question and its answers: an allowance, no source
        ),
    ]
