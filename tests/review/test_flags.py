"""The rows of flags: everything that is found odd has a name and a sentence, and no name stands for two things that differ."""

import re
from pathlib import Path

import app.review.flags  # noqa: F401  # all finders with their rows
from app.review.finding import QUEUE, UNNAMED, flag_row
from app.rules.count.flags import FLAGS

RULES = Path(__file__).resolve().parents[2] / "app" / "rules" / "count"
NAMED = re.compile(r'Flag\([^()]*?"([a-z-]+)"|add\([^()[]*?"([a-z-]+)"|odd\.append\(\([^()]*?"([a-z-]+)"')


def test_every_flag_has_a_name_of_a_few_words() -> None:
    named = {**FLAGS, **QUEUE}
    assert [why for why, row in named.items() if not 1 <= len(row.name.split()) <= 5] == []
    assert {flag_row(why).name for why in named} == {row.name for row in named.values()}
    assert UNNAMED.name not in {row.name for row in named.values()}


def test_a_flag_that_a_mark_carries_has_a_sentence() -> None:
    assert [why for why, row in FLAGS.items() if not row.sentence.endswith(".")] == []


def test_what_the_fold_calls_odd_is_in_the_table() -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in RULES.glob("*.py") if path.name != "flags.py")
    called = {name for found in NAMED.finditer(source) for name in found.groups() if name}
    assert len(called) > 12 and called <= set(FLAGS)


def test_a_flag_far_off_is_named_for_every_score_and_one_of_yesterday_is_still_shown() -> None:
    assert flag_row("far-score-2").name == "Far from expected"
    assert flag_row("long-forgotten") is UNNAMED
