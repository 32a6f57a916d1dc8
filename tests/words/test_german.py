"""German: what it has fits what is said, nothing of it is spare, and the pages of the hall lack none."""

import ast
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from app.compose.brief import turns
from app.compose.event_plain import told
from app.doors.letting_in import NOT_OURS
from app.doors.trusting import MONTHS, REDUCED
from app.library import Tables
from app.results.explaining import KINDS
from app.rules.agree.practice import MOVES
from app.rules.count.flags import FLAGS
from app.rules.count.gear_check import USUAL
from app.rules.count.lift_words import DONE, OUTCOMES, WRONG
from app.rules.count.tablet_rows import tablet_rows
from app.rules.records.kinds import ROWS
from app.rules.records.measuring import EVERY_STEP
from app.rules.records.seats import AT_PLATFORMS, INVITED, SHEETS
from app.rules.result.results import NOT_JUDGED, STATUS_TEXT, TO_BE_RUN_AGAIN
from app.rules.result.scoring import NO_LIFT, NO_TOTAL
from app.rules.result.signed_words import ANOTHER_RULE, NOT_SHOWN, RULE_NOT_HELD
from app.rules.values.words import Catalogue, Word, spoken
from app.rules.workout.equipment import EACH_LANE, FOR_THE_HALL
from app.rules.workout.growth import RISES
from app.rules.workout.joining import JoinRule
from app.rules.workout.movements import before_referees, library, movement
from app.rules.workout.presets import PRESETS
from app.rules.workout.task_fields import COUNTS
from app.rules.workout.tie_steps import TIE_STEPS
from app.rules.workout.words import JOINS, TAKES
from app.wording import catalogue, languages
from tests.test_house import modules, scripts, tree
from tests.words.readable import in_templates, script_texts
from tests.words.said import Key, all_keys, loaded_by, of_modules, script_keys, template_keys

ENGLISH, GERMAN = catalogue(), catalogue("de")
HOLE = re.compile(r"\{(\w+)\}")

SCRIPTS = (
    *("floor/lane", "floor/call", "floor/coach", "floor/platform", "floor/platform_call"),
    *("watch/board", "watch/wall", "watch/clock", "watch/follow", "watch/follow_whom"),
    *("doors/pair", "doors/trust", "floor/train", "floor/ten"),
)
TEMPLATES = (
    *("web/base", "web/needs", "web/to_desk", "web/languages", "floor/lane", "floor/call"),
    *("watch/board", "watch/content", "watch/floor_head", "watch/lane", "watch/next", "watch/panel_head", "watch/row"),
    *("watch/clock", "watch/wall", "watch/follow", "watch/followed", "watch/follow_whom"),
    *("compose/brief", "compose/briefs", "compose/safety", "web/measuring"),
    *("plan/timetable", "plan/timetable_hall", "plan/timetable_wall"),
    *(
        "watch/warm_up",
        "watch/warming_up",
        "watch/announcer",
        "watch/announced",
        "watch/announced_bar",
        "watch/announced_lane",
        "watch/announced_heat",
        "watch/announcer_sheet",
        "floor/platform",
        "floor/platform_call",
        "floor/coach",
        "results/pictures",
        "web/pictures",
    ),
    *("results/index", "results/table", "results/why", "results/sheet", "results/podium", "results/podium_steps"),
    *(
        "doors/pair",
        "doors/trust",
        "doors/trust_steps",
        "doors/trust_drawings",
        "floor/practice_start",
        "floor/set",
        "floor/set_result",
        "floor/ten",
    ),
)
MODULES = (
    *("watch/board*.py", "watch/wall.py", "watch/wall_*.py", "watch/hall_clock.py", "watch/called_out.py", "watch/follow.py"),
    *(
        "watch/announcer.py",
        "watch/announced_bar.py",
        "hall/going_past.py",
        "hall/result_words.py",
        "hall/lane_scores.py",
        "hall/heats.py",
    ),
    *("results/results_state.py", "results/explaining.py", "results/podium.py", "results/results_sheet.py"),
    *("rules/result/*.py", "rules/count/lift_words.py", "rules/count/counter_words.py", "rules/workout/words.py"),
    *(
        "compose/brief.py",
        "compose/event_strip.py",
        "compose/event_plain.py",
        "rules/workout/cautions.py",
        "rules/workout/equipment.py",
    ),
    *("rules/workout/task_fields.py", "rules/workout/format_fields.py", "rules/workout/growth.py"),
    *("watch/warm_up.py", "results/best_pictures.py", "results/counts_pictures.py", "results/event_pictures.py"),
    *("plan/timetable.py", "plan/running.py", "floor/training.py", "doors/pairing.py", "doors/letting_in.py", "hall/guessing.py"),
    *("rules/workout/points.py", "rules/workout/less_for_more.py"),
)
# What scripts of the hall hold as English by right. First what goes into a mark, which no language enters; then names of keys and
# of the product, selectors, what a drawing keeps to, and what stands for an error without
# words on its way to the desk, or for a format that can't be.
BESIDE = {
    "menu.js": {"Head judge called.{words}"},
    "not_counting.js": {"Head judge called. Two tablets count this lane."},
    "hand_clock.js": {
        *(
            "this tablet's clock could not be trusted",
            "this tablet had not heard the desk's GO",
            "Hand start: ",
            "Hand start: {words}",
        ),
        *("Clock started by hand on the whistle: {why}.", "Clock held by hand: the desk could not be reached."),
        "Resumed by hand on the whistle: this tablet had no word from the desk.",
        "{toFixed} s {late} the desk's GO. The desk's clock is followed now.",
    },
    "mirror.js": {"Error"},
    "fractions.js": {"A fraction's denominator is not zero.", "“{text}” is not a number."},
    "bar.js": {"xMinYMid meet"},
    "strokes.js": {"xMidYMid meet"},
    "keypad.js": {"Backspace"},
    "ten.js": {"Enter"},
    "train.js": {"Enter"},
    "trust.js": {"Firefox", "Android", "main a.act"},
    "stage.js": {"Backspace", "Lane Ledger"},
    "ribbon.js": {"1 / span {members}"},
    "looks.js": {"li, section"},
}
# Rows of the catalogue that only English pages say, the desk's for the most part. What app/first_start says is no word of it.
LACKING_ELSEWHERE = 89


def of_the_hall() -> Iterator[Key]:
    """What the pages say that are whole in German."""
    for page in SCRIPTS:
        for path in loaded_by(page):
            yield from script_keys(path)
    for name in TEMPLATES:
        yield from template_keys(name)
    yield from of_modules(*MODULES)


def forms(word: Word) -> dict[str, str]:
    return {"": word} if isinstance(word, str) else dict(word)


def written() -> set[str]:
    """The texts that are data: of the library, of rows, and what scripts hold as text."""

    def walk(value: object) -> Iterator[str]:
        if isinstance(value, str):
            yield value
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ()
        for one in inner:
            yield from walk(one)

    constants = {node.value for path in modules() for node in ast.walk(tree(path)) if isinstance(node, ast.Constant)}
    literals = {text for path in scripts() for text in re.findall(r'"([^"\\\n]+)"', path.read_text(encoding="utf-8"))}
    return {
        *walk(dict(Tables())),
        *walk(tablet_rows()),
        *of_the_library(),
        *literals,
        *(one for one in constants if isinstance(one, str)),
    }


def of_the_library() -> set[str]:
    """What brief and lane show of the library: movements, standards, faults and what a judge calls them, cautions, things."""
    texts = {*library().things.values(), *library().cautions.values(), *EACH_LANE, *FOR_THE_HALL}
    for one in library().described.values():
        called = before_referees(movement(one.key, lifted=True))
        texts |= {one.movement.name, *called.standards, *one.movement.cautions, *(fault.name for fault in called.faults)}
        texts |= {fault.say for fault in (*one.movement.faults, *called.faults) if fault.say}
    return texts


def test_the_pages_of_the_hall_lack_no_german() -> None:
    said = list(of_the_hall())
    assert sorted({(one.key, one.where) for one in said if one.key not in GERMAN.words}) == []
    assert len({one.key for one in said}) > 400


def test_templates_of_the_hall_have_no_words_beside_the_catalogue() -> None:
    said = {(name, one.key) for name in TEMPLATES for one in template_keys(name)}
    beside = [one for one in in_templates() if one.page in TEMPLATES and (one.page, one.text) not in said]
    # What is left: a page's own name for its styles (`board`), the product's, and a command to type.
    left = [(one.path, one.text) for one in beside if re.search(r"[A-Z]|\w \w", re.sub(r"\{[^}]*\}|Lane Ledger", "", one.text))]
    assert [text for _, text in left] == ["recount FILE --digest"]
    assert len(beside) > 10


def test_scripts_of_the_hall_have_no_words_beside_the_catalogue() -> None:
    paths = {path for page in SCRIPTS for path in loaded_by(page) if path.parent.name != "words"}
    said = {one.key for path in paths for one in script_keys(path)} | GERMAN.words.keys()
    left: dict[str, set[str]] = {}
    for path in sorted(paths):
        script = path.read_text(encoding="utf-8")
        lines = script.splitlines()
        for line, text in script_texts(script):
            if text not in said and not re.search(r"\bnew Error\(|console\.", lines[line - 1]):
                left.setdefault(path.name, set()).add(text)
    assert left == BESIDE
    assert len(said) > 400


def test_rows_that_are_shown_have_their_german() -> None:
    rows = {text for flag in FLAGS.values() for text in (flag.sentence, flag.tablet) if text} | {*STATUS_TEXT.values()}
    rows |= {text for sheet in SHEETS.values() for text in (sheet.name, sheet.sheet, sheet.who)}
    rows |= {*USUAL} | {seat.name for seat in AT_PLATFORMS.values()}
    rows |= {text for step in TIE_STEPS.values() for text in (step.plain, step.explained, step.without) if text}
    rows |= {*TAKES.values(), *JOINS.values(), *OUTCOMES.values(), *WRONG.values(), *DONE.values(), *RISES.values()}
    rows |= {row for kind in ROWS.values() for row in (kind.told, kind.listed) if row}
    rows |= {*KINDS, *(text for _, text in KINDS.values() if text), NOT_JUDGED, TO_BE_RUN_AGAIN}
    rows |= {*COUNTS.values(), *of_the_library(), *(row.becomes for row in INVITED.values()), NOT_OURS}
    rows |= {text for move in MOVES.values() for text in (move.name, move.short, move.not_home)}
    rows |= {*MONTHS, *REDUCED, *EVERY_STEP, NOT_SHOWN, ANOTHER_RULE, RULE_NOT_HELD, NO_TOTAL, NO_LIFT}
    assert sorted(rows - GERMAN.words.keys()) == []


def wordless() -> Catalogue:
    """German with nothing but the holes of its texts: whatever letters are left on a page were written beside the catalogue."""

    def bare(word: Word) -> Word:
        return {form: _holes(text) for form, text in word.items()} if isinstance(word, dict) else _holes(str(word))

    return replace(GERMAN, words={key: bare(word) for key, word in GERMAN.words.items()}, beneath=None)


def _holes(text: str) -> str:
    return " ".join(found[0] for found in HOLE.finditer(text))


@pytest.mark.parametrize("key", sorted(PRESETS))
def test_how_an_event_runs_and_scores_is_told_by_the_catalogue_alone(key: str) -> None:
    format = PRESETS[key].make({})
    format = format.model_copy(update={"counters": JoinRule(how="mean", recount_beyond=3)})
    with spoken(wordless()):
        words = told(format)
        sentences = [*words.runs, *words.scores, *words.fine, *(turn.length + turn.who + turn.what for turn in turns(format))]
    assert len(sentences) > 4
    assert [text for text in sentences if re.search("[A-Za-z]{3}", text)] == []


def test_what_other_pages_lack_is_counted_and_does_not_grow() -> None:
    lacking = {one.key for one in all_keys() if one.key not in GERMAN.words and not one.where.startswith("app/first_start/")}
    assert len(lacking) <= LACKING_ELSEWHERE, sorted(lacking)


def test_every_german_row_is_of_something_that_is_said() -> None:
    said = {one.key for one in all_keys()} | ENGLISH.words.keys() | written()
    assert sorted(GERMAN.words.keys() - said) == []


@pytest.mark.parametrize("language", [code for code in languages() if code != "en"])
def test_every_row_has_the_holes_and_the_forms_of_its_english(language: str) -> None:
    other = catalogue(language)
    for key, word in other.words.items():
        english = ENGLISH.words.get(key, key)
        assert isinstance(word, str) == isinstance(english, str), key
        own, theirs = forms(word), forms(english)
        if not isinstance(word, str):
            assert {"one", "other"} <= own.keys() <= {str(row["form"]) for row in other.plural} | {"other"}, key
        holes = {hole for text in theirs.values() for hole in HOLE.findall(text)}
        assert {hole for text in own.values() for hole in HOLE.findall(text)} <= holes, key
        assert holes - {"n"} <= set(HOLE.findall(own.get("other", own.get("", "")))), key
