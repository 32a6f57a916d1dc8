"""The tablet's twins of the rule book answer every case of tests/vectors as the rule book does."""

import itertools
import json
import random
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.count.flags import FLAGS
from app.rules.count.tally import fold
from app.rules.records.marks import parse_mark
from app.rules.values.texts import cleaned, unfit
from app.rules.values.words import say_apart
from app.rules.workout.formats import Part
from tests.builders.cast import Sheet, a_format, a_lift_task
from tests.rules.values.test_texts import FIT, UNFIT
from tests.vectors.law_scenes import GIVES, MOMENTS, MOST_IN_A_VECTOR, SEATS, scene
from tests.vectors.lifting.twice_scenes import WAYS, decided_twice

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
FILES = (
    "units",
    "clock",
    "tally",
    "typed_loads",
    "plates",
    "markings",
    "lift_order",
    "authority",
    "scores",
    "turns",
    "words",
    "round/film_prints",
)


# What JSON does not have is told as what it has: what is not there as null, no number as its name.
ANSWERS = """async (cases) => {
  const { answers } = await import('/tests/browser/twins.js');
  const told = (_, one) => (one === undefined ? null : typeof one === 'number' && !Number.isFinite(one) ? `${one}` : one);
  return JSON.stringify(await answers(JSON.parse(cases)), told);
}"""


def answers(scripts: Page, cases: list[dict[str, Any]]) -> list[Any]:
    """What the twins say. Cases and answers go as text: Playwright would wrap every number of megabytes by itself."""
    return json.loads(scripts.evaluate(ANSWERS, json.dumps(cases)))  # type: ignore[no-any-return]


@pytest.mark.parametrize("name", FILES)
def test_the_twin_answers_as_the_vectors_say(scripts: Page, name: str) -> None:
    cases = json.loads((VECTORS / f"{name}.json").read_text(encoding="utf-8"))
    found = answers(scripts, cases)
    wrong = [(case["name"], got, case["expect"]) for case, got in zip(cases, found, strict=True) if got != case["expect"]]
    assert wrong == []
    assert len(cases) > 20


def test_the_twin_too_follows_the_decision_that_stands_of_a_try_that_was_decided_twice(scripts: Page) -> None:
    chance, asked = random.Random(8), []
    for number in range(400):
        format, (marks, plain, admitted) = WAYS[number % len(WAYS)], decided_twice(chance)
        asked.append([json.loads(format.model_dump_json()), marks, plain, admitted])
    script = """async (asked) => {
      const { foldLifts } = await import('/static/js/rules/lifts.js');
      const { byOrder } = await import('/static/js/rules/order.js');
      const none = [new Map(), [], null];
      const told = ({ tasks: { work }, movements, windows }, marks, ruled) => {
        const lifted = [work, movements[work.movement], windows[0], marks.sort(byOrder), 1000, ...none];
        const found = foldLifts(...lifted, new Set(ruled), new Set());
        const lifts = found.lifts.map((one) => [one.declared, one.load, one.good, one.counts, one.racked, one.begun]);
        return JSON.stringify([lifts, found.declaration, found.begun, found.waiting, found.free_ms, found.coming]);
      };
      return JSON.parse(asked).map(([format, marks, plain, ruled]) => [told(format, marks, [ruled]), told(format, plain, [])]);
    }"""
    found = scripts.evaluate(script, json.dumps(asked))
    assert len({plain for _, plain in found}) > 200
    assert [twice for twice, _ in found] == [plain for _, plain in found]


def test_what_a_side_referee_took_back_stands_no_more_though_the_tally_by_all_does_not_know(scripts: Page) -> None:
    sheets = {kind: Sheet(device=f"tab-{kind}") for kind in ("lane", "second")}
    for kind, sheet in sheets.items():
        sheet.sheet = f"asg_1/1/{kind}"
    signed = {kind: sheet.mark("sign", 90_000, None, who="judge", name="Jo") for kind, sheet in sheets.items()}
    struck = sheets["second"].strike(95_000, signed["second"])
    asked = {"marks": [*signed.values(), struck], "tally": {"struck": []}}
    script = "async (lane) => (await import('/static/js/rules/platform/taken_back.js')).notTakenBack(lane).map(({ id }) => id)"
    assert scripts.evaluate(script, asked) == [signed["lane"]["id"], struck["id"]]


GOOD, MISS, AGAIN = {"good": True}, {"good": False}, {"good": False, "again": True}
LEFT = [
    ({"attempts": 3}, [], None, 3),
    ({"attempts": 3}, [GOOD, MISS], None, 1),
    ({"attempts": 3}, [GOOD, MISS, GOOD], None, 0),
    ({"attempts": 3}, [GOOD, MISS, AGAIN], None, 1),  # what is lifted again used none
    ({"attempts": 3}, [GOOD, MISS], "d9", 0),  # the bar is out under the last one: nothing is left to declare
    ({"attempts": 3}, [GOOD, MISS], "d1", 1),  # it was decided already
    ({"attempts": None}, [GOOD] * 9, None, None),
    ({"attempts": None, "misses_out": 2}, [GOOD, MISS, MISS], None, 0),  # put out
    ({"attempts": 3, "misses_out": 2}, [MISS, AGAIN], None, 2),
]


def test_how_many_attempts_a_lifter_has_left(scripts: Page) -> None:
    asked = [
        [task, [{"mark": f"m{n}", "declared": f"d{n}", "again": False, **lift} for n, lift in enumerate(lifts)], out]
        for task, lifts, out, _ in LEFT
    ]
    script = "async (asked) => { const { attemptsLeft } = await import('/static/js/rules/lifts.js');"
    assert scripts.evaluate(f"{script} return asked.map((one) => attemptsLeft(...one)); }}", asked) == [left for *_, left in LEFT]


def test_one_attempt_more_is_offered_where_a_ruling_on_a_miss_could_let_it_count(scripts: Page) -> None:
    cases: list[tuple[Any, list[Any], str | None, bool]] = [
        ({"attempts": None, "misses_out": 2}, [GOOD, MISS, MISS], None, True),
        ({"attempts": 4, "misses_out": 2}, [GOOD, MISS, MISS], None, True),
        ({"attempts": 4, "misses_out": 2}, [GOOD, MISS, MISS], "d9", False),  # the bar is out under the fourth
        ({"attempts": 3, "misses_out": 2}, [GOOD, MISS, MISS], None, False),  # one too many, whatever is ruled
        ({"attempts": 3, "misses_out": None}, [MISS, MISS], None, False),
    ]
    asked = [
        [task, [{"mark": f"m{n}", "declared": f"d{n}", "again": False, **lift} for n, lift in enumerate(lifts)], out]
        for task, lifts, out, _ in cases
    ]
    script = "async (asked) => { const { outOnMisses } = await import('/static/js/rules/lifts.js');"
    assert scripts.evaluate(f"{script} return asked.map((one) => outOnMisses(...one)); }}", asked) == [may for *_, may in cases]


def test_of_several_things_about_a_mark_the_sheet_says_first_that_it_does_not_count(scripts: Page) -> None:
    script = """async ([outs, others]) => {
      const { oddest } = await import('/static/js/screens/floor/lane/sheet/after.js');
      const said = (...whys) => oddest(whys.map((why) => ({ why })))?.why;
      return [outs.filter((out) => others.some((other) => said(other, out) !== out)), said(...others), said()];
    }"""
    outs = [why for why, row in FLAGS.items() if row.keeps_out]
    others = [why for why in FLAGS if why not in outs]
    assert scripts.evaluate(script, [outs, others]) == [[], others[0], None]


def test_another_try_is_offered_where_it_may_count_by_the_rule_book_and_nowhere_else(scripts: Page) -> None:
    asked, expected = [], []
    for racked, out, misses in itertools.product((True, False), (None, 1, 2), (0, 1, 2)):
        task, sheet = a_lift_task(tries_until_racked=racked, misses_out=out), Sheet()
        said = sheet.declare(1_000, "100 kg")
        marks = [said, *(sheet.lift(5_000 * n, "100 kg", False, declared=said["id"]) for n in range(1, misses + 1))]
        tried = [*marks, sheet.lift(50_000, "100 kg", True, declared=said["id"])]
        format = a_format(task, Part(take="best", windows=(0,)), unit="kg")
        *before, last = fold(format, [parse_mark(mark) for mark in tried]).windows[0].lifts
        lifts = [{"mark": one.mark, "declared": one.declared, "again": one.again, "good": one.good} for one in before]
        asked.append([json.loads(task.model_dump_json()), lifts, said["id"]])
        expected.append(last.counts)
    assert {True, False} == set(expected)
    script = "async (asked) => { const { mayTryAgain } = await import('/static/js/rules/lifts.js');"
    assert scripts.evaluate(f"{script} return asked.map((one) => mayTryAgain(...one)); }}", asked) == expected


def test_a_name_from_right_to_left_is_set_apart_in_what_is_shown(scripts: Page) -> None:
    script = """async (names) => {
      const { say } = await import('/static/js/words/say.js');
      return names.map((who) => say('Call {who}, {load}', { who, load: '74 kg' }));
    }"""
    names = ["Ada", "ثلاث أمواج", "שלוש", "١٠٥", "夜明け"]
    shown = scripts.evaluate(script, names)
    assert shown == [say_apart("Call {who}, {load}", who=who, load="74 kg") for who in names]
    assert ["\u2068" in words for words in shown] == [False, True, True, False, False]


def law_cases(count: int, seed: int, by: str = "", at: str = "") -> list[dict[str, Any]]:
    """Sheets on which one mark more must change no number; of one seat at one moment, or of all. Short ones: they are sent."""
    chance, found = random.Random(seed), list[dict[str, Any]]()
    while len(found) < count:
        one = scene(chance, by or chance.choice(SEATS), at or chance.choice(MOMENTS))  # type: ignore[arg-type]
        short = one is not None and len(one.marks) < MOST_IN_A_VECTOR and one.at not in GIVES.get(one.by, ())
        told = one.on_the_tablet if one is not None and short else None
        found += [{"call": "changes", **told}] if told else []
    return found


def test_the_tablet_keeps_the_law_of_authority_too(scripts: Page) -> None:
    assert not any(answers(scripts, law_cases(400, 4)))


@pytest.mark.parametrize(
    ("seat", "kind", "moment", "at"),
    [("lifter", "loaded", "decided", "now"), ("lane", "rep", "ahead", "ahead"), ("lane", "rep", "no-run", "no-run")],
)
def test_with_one_cell_opened_the_tablet_breaks_the_law(scripts: Page, seat: str, kind: str, moment: str, at: str) -> None:
    opened = {"call": "set_cell", "args": [seat, kind, moment, "counts"]}
    closed = {"call": "set_cell", "args": [seat, kind, moment, "waits"]}
    assert any(found is True for found in answers(scripts, [opened, *law_cases(240, 2, seat, at), closed]))


def test_what_a_judge_types_is_fit_to_be_said_before_it_becomes_a_mark(scripts: Page) -> None:
    texts = [*FIT, *(f"Sore wrist{text}, goes on" for text, _ in UNFIT), "a\u200bb \u200d c\ufeff", "x" + "\u0301" * 40]
    said = answers(scripts, [{"call": "said", "args": [text]} for text in texts])
    assert [(text, got) for text, got in zip(texts, said, strict=True) if unfit(got, lines=True) or not got] == []
    assert said[: len(FIT)] == [cleaned(text, lines=True) for text in FIT]


# Ten loads from twelve kinds of plate in any order; then the first is on the bar; then one more load is to come.
PLANNED = """async (worker) => {
  const own = globalThis.Worker;
  const broken = class { constructor() { throw new Error("no"); } };
  globalThis.Worker = { none: undefined, broken, there: own }[worker];
  const { Planner } = await import(`/static/js/screens/floor/call/planner.js?${worker}`);
  const kg = (amount) => ({ amount, unit: "kg" });
  const loads = ["62.5", "78", "90.5", "101", "113.5", "120", "131.5", "144", "152.5", "160"].map(kg);
  const kinds = ["50", "25", "20", "15", "10", "5", "2.5", "2", "1.5", "1.25", "1", "0.5"];
  const plates = kinds.map((amount) => ({ weight: kg(amount), pairs: 2, across_mm: 450, thick_mm: 20, colour: null }));
  const kit = { kinds: plates, bar: kg("20"), collars: null, heavy_inside: false, sleeve_mm: 415 };
  let better = () => {};
  const come = new Promise((done) => { better = () => done(undefined); });
  const planner = new Planner(() => better());
  const moves = ({ sides }) => sides.reduce(([sum, before], side) => {
    const kept = side.findIndex((kind, place) => kind !== before[place]);
    return [sum + before.length + side.length - 2 * (kept < 0 ? side.length : kept), side];
  }, [0, []])[0];
  const quick = planner.through(kit, loads, []);
  if (worker !== "none") await come;
  const best = planner.through(kit, loads, []);
  const on = planner.through(kit, loads, best.sides[0]);
  const more = planner.through(kit, [...loads.slice(1), kg("170")], best.sides[0]);
  globalThis.Worker = own;
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
  return { how: [quick.how, best.how, on.how, more.how], moves: [moves(quick), moves(best)],
           stays: same(on.sides, best.sides) && same(more.sides.slice(0, 9), best.sides.slice(1)), planned: more.sides.length };
}"""


def test_a_plan_is_there_at_once_and_one_with_fewer_moves_follows_and_stays_while_the_bar_goes_along_it(scripts: Page) -> None:
    found = scripts.evaluate(PLANNED, "there")
    assert found["how"] == ["looking", "found", "found", "looking"]
    assert found["moves"][1] < found["moves"][0]
    assert found["stays"] and found["planned"] == 10
    for none in ("none", "broken"):
        assert scripts.evaluate(PLANNED, none)["how"][1] == "quick", "without a worker the quick plan is all there is"
