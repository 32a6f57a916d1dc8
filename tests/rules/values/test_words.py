"""The catalogue of words and what it is read from."""

import json
import subprocess
import sys

import pytest

from app.rules.values.words import Catalogue, hand_in, say
from app.wording import catalogue

OTHER = Catalogue("x", (), {"load.zero": "Zero is none.", "open": "From {first} on"})


def test_the_words_are_there_whatever_part_of_the_app_is_loaded_first() -> None:
    script = "from app.rules.values.units import *\ntry: parse_load('0', 'kg')\nexcept BadMeasure as wrong: print(wrong)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == catalogue().words["load.zero"]


def test_another_catalogue_can_be_handed_in_and_back() -> None:
    before = hand_in(OTHER)
    try:
        assert say("load.zero") == "Zero is none."
    finally:
        assert hand_in(before) is OTHER
    assert say("load.zero") == before.say("load.zero") != "Zero is none."


def test_a_word_or_a_hole_that_is_not_there_is_an_error() -> None:
    with pytest.raises(KeyError, match=r"no\.where"):
        OTHER.say("no.where")
    with pytest.raises(KeyError, match="first"):
        OTHER.say("open")


def test_the_catalogue_is_one_script_of_json_alone() -> None:
    found = catalogue()
    assert found.language == "en" and json.loads(json.dumps(found.words)) == found.words
    with pytest.raises(FileNotFoundError):
        catalogue("xx")
