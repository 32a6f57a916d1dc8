"""A lane judged from a film that the browser made itself, and a dispute played to its end."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from app.rules.records.document import CompetitionFile
from app.rules.workout.formats import CountTask
from tests.browser.films import film
from tests.browser.fixtures import desk_session
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import faults_at, found_on
from tests.browser.people import TABLET
from tests.builders.cast import Plain, Sheet, a_competition, a_format, a_lift_task, take

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(180)]

GO = 1_500  # where GO is on the film, in ms
REPS = [1_000, 2_000, 3_000, 4_000]  # what the film shows, in ms after GO
NEAR = 40  # ms: a frame at thirty a second, and rounding


def sheet(number: int, times: list[int], kind: str = "lane") -> list[Plain]:
    """The repetitions of one sheet."""
    made = Sheet(f"asg_{number}", device=f"tab-{number}-{kind}")
    made.sheet = f"asg_{number}/1/{kind}"
    return [made.rep(at, 0) for at in times]


def counted() -> CompetitionFile:
    """Swings on four lanes. The judge of lane 1 saw two of four repetitions, that of lane 2 three; lane 1 has its film judged."""
    format = a_format(CountTask(movement="swing"))
    film = Sheet("asg_1", device="film")
    film.sheet = "asg_1/1/video"
    marks = [*sheet(1, [1_100, 4_100]), *sheet(2, [1_000, 2_000, 2_900]), *sheet(1, REPS, "video")]
    marks.append(film.mark("note", 0, text="GO is 1.50 s into the film.", go=GO))
    return a_competition(format, {"Open": ["Quay Runners", "Rope Walkers", "Slow Tide", "Old Bells"]}, marks)


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return counted()


@pytest.fixture(scope="module")
def recorded(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film(browser, tmp_path_factory.mktemp("films") / "lane 1.webm", seconds=7.5, go=GO, reps=REPS)


@pytest.fixture
def bench(page: Page, recorded: Path) -> Page:
    """The page on which lane 1 is judged, with its film open and GO set."""
    return at_work(page, "asg_1", recorded)


def at_work(page: Page, assignment: str, path: Path) -> Page:
    page.goto(f"/review/video?assignment={assignment}")
    part(page, "film-file").set_input_files(path)
    expect(part(page, "play")).to_be_enabled()
    to(page, GO)
    part(page, "set-go").click()
    expect(part(page, "film-says")).to_contain_text("GO is 1.50 s into the film.")
    return page


def part(page: Page, role: str) -> Any:
    return page.locator(f'[data-role="{role}"]')


def to(page: Page, ms: int) -> None:
    """Shows a place of the film by its slider."""
    part(page, "place").evaluate("(place, at) => { place.value = at; place.dispatchEvent(new Event('input')); }", ms / 1000)
    part(page, "film-picture").evaluate(
        "(video) => new Promise((done) => video.seeking ? video.addEventListener('seeked', done, { once: true }) : done())"
    )


def judge(page: Page, ms: int, key: str) -> None:
    """Judges a moment of the heat with a key."""
    to(page, GO + ms)
    page.keyboard.press(key)


def at_desk(page: Page) -> None:
    """Waits until every mark made so far is stored; first for the frame that shows the newest."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    expect(part(page, "outbox")).to_have_text("All marks at the desk")


def marks(server: HallServer, sheet: str) -> list[Any]:
    return [mark for mark in server.hall.projection.sheet_marks(sheet) if mark.kind != "note"]


def test_a_film_that_the_browser_recorded_has_a_length_and_its_start_is_heard(page: Page, recorded: Path) -> None:
    page.goto("/review/video?assignment=asg_4")
    expect(part(page, "set-go")).to_be_disabled()
    part(page, "film-file").set_input_files(recorded)
    expect(part(page, "film-time")).to_contain_text("of 0:07.")
    part(page, "find-sound").click()
    expect(part(page, "film-says")).to_contain_text("Is it the start?")
    expect(part(page, "find-sound")).to_have_text("Next sound")
    part(page, "set-go").click()
    expect(part(page, "film-says")).to_contain_text("s into the film.")
    part(page, "film-file").set_input_files({"name": "notes.webm", "mimeType": "video/webm", "buffer": b"no film at all"})
    expect(part(page, "film-says")).to_contain_text("can't play that file")


def test_a_lane_is_counted_from_its_film_with_keys_and_taps_and_every_mark_reaches_the_desk(
    page: Page, server: HallServer, recorded: Path
) -> None:
    bench = at_work(page, "asg_2", recorded)
    judge(bench, 1_000, "r")
    judge(bench, 2_000, "n")
    bench.keyboard.press("Backspace")  # it was good
    expect(part(bench, "film-take-back")).to_contain_text("rep 1 at 0:01")
    bench.keyboard.press("Enter")
    judge(bench, 3_000, "r")
    to(bench, GO + 4_000)
    part(bench, "rep").click()
    bench.keyboard.press("Space")  # the film's, not the button's
    expect(part(bench, "play")).to_have_text("Pause")
    bench.keyboard.press("Space")
    expect(part(bench, "video-count")).to_have_text("4")
    at_desk(bench)
    kept = marks(server, "asg_2/1/video")
    assert [mark.kind for mark in sorted(kept, key=lambda one: one.seq)] == ["rep", "norep", "strike", "rep", "rep", "rep"]
    times = [mark.at for mark in kept if mark.kind == "rep"]
    assert all(abs(at - shown) <= NEAR for at, shown in zip(times, REPS, strict=True)), times
    assert server.hall.projection.sheet_tally("asg_2/1/video").windows[0].credited == 4
    assert server.hall.projection.counting_tally("asg_2").windows[0].credited == 3  # type: ignore[union-attr]


def test_that_the_event_was_signed_off_is_said_where_its_film_is_judged(page: Page, recorded: Path) -> None:
    note = {"words": "Turns is signed off, by Ruth.", "link": "/review/results#event-evt"}

    def signed(route: Route) -> None:
        route.fulfill(json=route.fetch().json() | {"signed_note": note})

    page.route("**/review/video/packet*", signed)
    at_work(page, "asg_4", recorded)
    expect(part(page, "signed-note")).to_have_text("Signed off. Turns is signed off, by Ruth. Reopen it")
    expect(part(page, "signed-note").get_by_role("link")).to_have_attribute("href", note["link"])


def test_a_frame_on_and_a_frame_back_show_the_frames_beside(bench: Page) -> None:
    picture = part(bench, "film-picture")
    bench.keyboard.press(".")
    on = picture.evaluate("(video) => video.currentTime * 1000")
    assert 0 < on - GO < 120
    bench.keyboard.press(",")
    assert picture.evaluate("(video) => video.currentTime * 1000") < on
    part(bench, "speed").select_option("0.25")
    assert picture.evaluate("(video) => video.playbackRate") == 0.25


STEPPED = """async ([shown, at, frames]) =>
  (await import("/static/x/js/parts/film.js")).stepped(shown, at, 40, frames)"""


def test_a_step_leads_to_the_frame_beside_however_long_the_one_that_is_seen(bench: Page) -> None:
    led = {one: bench.evaluate(STEPPED, list(one)) for one in ((1000, 1004, 1), (1000, 1004, -1), (1000, 1070, 1), (0, 1500, 1))}
    assert led == {
        (1000, 1004, 1): 1044,
        (1000, 1004, -1): 964,
        (1000, 1070, 1): 1110,  # seen for 70 ms already: 1044 would lead back
        (0, 1500, 1): 1544,  # what is seen is not yet told: it was a jump
    }


def test_the_page_fits_every_screen_and_everybody_can_use_it(bench: Page) -> None:
    assert faults_at(bench, 24) == {}
    bench.set_viewport_size(TABLET)  # type: ignore[arg-type]
    for summary in bench.locator("summary").all():
        summary.click()
    assert found_on(bench) == []


def test_the_compared_sheets_fit_every_screen_and_everybody_can_use_them(page: Page) -> None:
    for path in ("/review/compare", "/review/compare/asg_1?a=lane&b=video", "/review/compare/judges"):
        page.goto(path)
        assert faults_at(page, 24) == {}
        assert found_on(page) == []


def test_what_the_film_shows_is_written_down_and_once_signed_the_judges_marks_come_beside(
    bench: Page, server: HallServer
) -> None:
    tracks = bench.locator(".video-track")
    expect(tracks).to_have_count(1)
    expect(part(bench, "marks-later")).to_be_visible()
    to(bench, GO + 500)
    bench.get_by_text("What the film shows, and signing").click()
    bench.get_by_role("button", name="No: The film runs").click()
    expect(bench.locator("[data-check=cut] .state")).to_have_text("no, at 0:02.00 of the film")
    part(bench, "sign-video").click()
    expect(part(bench, "video-name-wrong")).to_have_text("Type your name first.")
    bench.get_by_label("Judged from video by").fill("Imre Vale")
    part(bench, "sign-video").click()
    expect(part(bench, "video-signed")).to_have_text("Signed by Imre Vale.")
    at_desk(bench)
    notes = [mark for mark in server.hall.projection.sheet_marks("asg_1/1/video") if mark.kind == "note"]
    assert any(mark.body.get("go") == GO for mark in notes)
    assert [mark.at for mark in notes if "after the last bell: no" in mark.body["text"]] == [500]
    bench.reload()  # or after a quarter of a minute
    expect(tracks).to_have_count(2)  # the lane judge's marks come beside one's own
    expect(tracks.nth(1).locator("i")).to_have_count(2)
    expect(part(bench, "marks-later")).to_be_hidden()


def test_a_disputed_moment_is_shown_on_the_film_beside_both_sheets(page: Page, recorded: Path) -> None:
    page.goto("/review/compare/asg_1?a=lane&b=video")
    disputes = page.locator(".dispute")
    expect(disputes).to_have_count(2)
    expect(disputes.nth(0)).to_contain_text("Judge: nothing marked. Video: rep.")
    part(page, "film-file").set_input_files(recorded)
    expect(part(page, "film-says")).to_contain_text("GO is 1.50 s into the film.")
    disputes.nth(1).click()
    expect(disputes.nth(1)).to_have_attribute("aria-current", "true")
    expect(page.locator(".seen[data-chosen]")).to_have_count(1)
    picture = part(page, "film-picture")
    at = picture.evaluate("(video) => new Promise((done) => { video.pause(); done(video.currentTime * 1000); })")
    assert GO + 3_000 - 1_600 <= at <= GO + 3_000 + 4_000


def test_counting_goes_on_while_the_desk_is_away_and_nothing_is_lost(
    context: BrowserContext, server: HallServer, recorded: Path
) -> None:
    page = context.new_page()
    at_work(page, "asg_3", recorded)
    judge(page, 1_000, "r")
    at_desk(page)
    server.stop()
    try:
        judge(page, 2_000, "r")
        judge(page, 3_000, "n")
        expect(part(page, "video-count")).to_have_text("2")
        expect(part(page, "outbox")).to_contain_text("2 marks on this device")
    finally:
        server.start()
    at_desk(page)
    assert [mark.kind for mark in marks(server, "asg_3/1/video")] == ["rep", "rep", "norep"]
    page.close()


def lifted() -> CompetitionFile:
    """A squat of 100 kg that the lane judge let pass."""
    format = a_format(a_lift_task(), take("best"), unit="kg")
    sheet = Sheet(device="tab-1")
    bar = sheet.declare(400, "100 kg", 0)
    return a_competition(format, {"Open": ["Quay Runners"]}, [bar, sheet.lift(2_000, "100 kg", True, declared=bar["id"], win=0)])


def test_a_lift_is_refused_from_its_film_under_the_bar_that_the_lane_declared(
    browser: Browser, tmp_path: Path, recorded: Path
) -> None:
    with served(tmp_path, lifted()) as server:
        context = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=desk_session(server.url))
        page = at_work(context.new_page(), "asg_1", recorded)
        to(page, GO + 100)
        expect(part(page, "bar")).to_have_text("No load was declared by then.")
        expect(part(page, "good-lift")).to_be_disabled()
        to(page, GO + 2_500)
        expect(part(page, "bar")).to_have_text("On the bar: 100 kg")
        part(page, "no-lift").click()
        at_desk(page)
        (lift,) = server.hall.projection.sheet_tally("asg_1/1/video").windows[0].lifts
        assert (lift.good, lift.load.text(), lift.declared is not None) == (False, "100 kg", True)
        page.goto("/review/compare/asg_1")
        expect(page.locator(".dispute")).to_contain_text("Judge: good lift. Video: no lift.")
        context.close()


SUDDEN = """async () => {
  const { onsets } = await import("/static/x/js/parts/onset.js");
  const rate = 8000, samples = new Float32Array(rate * 5);
  for (let i = 0; i < samples.length; i += 1) samples[i] = 0.02 * Math.sin(i / 3);
  const beep = (ms, loud) => {
    for (let i = 0; i < rate / 5; i += 1) samples[Math.round(ms * rate / 1000) + i] += loud * Math.sin(i);
  };
  beep(1230, 0.5); beep(3000, 0.9); beep(3300, 0.8);
  return [onsets(samples, rate, 2), onsets(new Float32Array(rate), rate), onsets(new Float32Array(3), rate)];
}"""


def test_the_start_of_a_sound_is_found_to_a_hundredth_of_a_second_and_silence_has_none(page: Page) -> None:
    page.goto("/review/compare")
    loudest, silence, nothing = page.evaluate(SUDDEN)
    assert loudest == [3_000, 1_230] and silence == [] and nothing == []


def test_a_dispute_from_a_film_to_a_changed_place(browser: Browser, tmp_path: Path, recorded: Path) -> None:
    file = counted()
    unseen = file.model_copy(update={"marks": tuple(mark for mark in file.marks if not mark.sheet.endswith("/video"))})
    with served(tmp_path, unseen) as server:
        context = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=desk_session(server.url))
        page = at_work(context.new_page(), "asg_1", recorded)
        for moment in REPS:
            judge(page, moment, "r")
        at_desk(page)
        assert (places(server)["Rope Walkers"], places(server)["Quay Runners"]) == ((1, "3"), (2, "2"))
        page.get_by_role("link", name="Compare with the judge").click()
        expect(page.locator(".dispute")).to_have_count(2)
        page.get_by_role("link", name="Rule on it").click()
        rule(page, "The sheet judged from video, run 1")
        assert (places(server)["Quay Runners"], places(server)["Rope Walkers"]) == ((1, "4"), (2, "3"))
        page.get_by_role("link", name="Compare this lane's sheets").click()
        expect(page.locator(".notice")).to_contain_text("let this sheet stand: video")
        expect(page.locator(".dispute")).to_have_count(2)  # both sheets are there as they were
        context.close()


def rule(page: Page, sheet: str) -> None:
    """Lets another sheet stand, on the head judge's page."""
    page.get_by_label("This one stands").select_option(sheet)
    page.get_by_role("form", name="Another sheet").get_by_role("button", name="Show what it changes").click()
    expect(page.locator(".options")).to_contain_text("4")
    page.get_by_label("Your name").fill("Noor Vale")
    page.get_by_label("Why", exact=True).fill("The film shows four")
    page.get_by_role("button", name="Make this ruling").click()
    expect(page.locator("#made")).to_contain_text("Ruling made.")


def places(server: HallServer) -> dict[str, tuple[int | None, str]]:
    """Who stands where, with what score."""
    rows = server.hall.projection.event_results("evt").tables[0].rows
    return {row.entry.name: (row.place, row.score.text if row.score else "") for row in rows}


def test_a_heat_that_was_held_is_timed_on_its_own_clock_whether_the_film_ran_on_or_not(
    browser: Browser, tmp_path: Path, recorded: Path
) -> None:
    runs = [{"heat": "heat", "number": 1, "holds": [{"at_ms": 2_000, "for_ms": 1_000}]}]
    held = a_competition(a_format(CountTask(movement="swing")), {"Open": ["Quay Runners"]}, runs=runs)
    with served(tmp_path, held) as server:
        context = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=desk_session(server.url))
        page = at_work(context.new_page(), "asg_1", recorded)
        for shown, clock in ((1_500, "0:01.50"), (2_700, "0:02.00"), (3_500, "0:02.50")):
            to(page, GO + shown)
            expect(part(page, "heat-time")).to_have_text(clock)
            page.keyboard.press("r")
        part(page, "film-cut").check()
        expect(part(page, "heat-time")).to_have_text("0:03.50")
        page.keyboard.press("r")
        at_desk(page)
        marked = [(mark.at, mark.body.get("held", 0)) for mark in marks(server, "asg_1/1/video")]
        assert marked == [(1_500, 0), (2_000, 700), (2_500, 1_000), (3_500, 1_000)]
        assert [at for at, _, _ in server.hall.projection.sheet_tally("asg_1/1/video").windows[0].reps] == [
            1_500,
            2_000,
            2_500,
            3_500,
        ]
        context.close()
