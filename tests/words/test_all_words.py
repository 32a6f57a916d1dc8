"""The list of all that a person can read finds it, whole, and nothing that only looks like it."""

import ast

from tests.words.readable import all_texts, printed, python_texts, script_texts, template_texts


def test_a_template_tells_its_sentences_whole_and_what_is_read_aloud() -> None:
    source = """{# A note. #}<main class="sheet stack"><p>Ask <a href="/x">{{ who }}</a> at the desk.</p>
{% if open %}<p>Still open</p>{% endif %}
<img alt="The board: {{ address }}">
{{ f.text(form, "drop", "How many are left out") }}"""
    assert [text for _, text in template_texts(source)] == [
        *("Ask {who} at the desk.", "Still open", "The board: {address}", "How many are left out"),
    ]


def test_a_script_tells_its_sentences_and_not_its_notes_classes_or_patterns() -> None:
    source = """// A note that nobody reads.
const a = el("p", { class: "press quiet", "aria-label": "This lane" }, `Lane ${lane.number} of ${say("lanes", { n })}`);
const b = text.match(/^It is "so"$/) ? "main > p" : 'Tap here';"""
    assert [text for _, text in script_texts(source)] == ["This lane", "lanes", "Lane {number} of {n}", "Tap here"]


def test_a_module_tells_its_sentences_and_not_its_docstrings() -> None:
    source = '"""A module."""\n\ndef f(n):\n    """A function that is told."""\n    return f"{n} of the lanes" if n else "None"'
    assert [text for _, text in python_texts(ast.parse(source))] == ["{n} of the lanes", "None"]


def test_what_is_known_to_be_read_is_in_the_list_under_its_page() -> None:
    texts = all_texts()
    shown = {(one.page, one.text) for one in texts}
    assert ("floor/lane", "Opening the lane…") in shown
    assert ("library/movements", "Trunk came up") in shown
    assert ("words", "{n} marks") in shown
    assert len(list(printed(texts))) > len(texts) > 5000
