"""Words that tell a state can be read in sunlight: contrast by WCAG 2.2, 1.4.6 (enhanced), 7:1, on every ground they stand on.

A club's colour is seen by its edge at least: 1.4.11 (non-text contrast), 3:1; no words stand on it.
"""

import re

import pytest

from app.paths import static_dir, templates_dir
from app.rules.records.roster import CLUB_COLOURS

ENOUGH, SEEN = 7.0, 3.0
STATES = ("ink", "ink-soft", "now", "act", "look")
GROUNDS = ("ground", "ground-deep", "ground-worn")

Sheet = dict[str, str]


def meanings(ground: str) -> Sheet:
    """Name -> colour on a ground, as the tokens tell it: what means something else is followed to its colour."""
    text = (static_dir() / "css/web/tokens.css").read_text(encoding="utf-8")
    blocks = re.findall(r"^([^\n@{}]*)\{([^{}]*)\}", text, re.M)
    named = {name: value for _, body in blocks for name, value in re.findall(r"--([\w-]+): (#[0-9a-f]{6})", body)}
    own = next(body for selector, body in blocks if f'[data-ground="{ground}"]' in selector)
    told = re.findall(r"--([\w-]+): (?:var\(--([\w-]+)\)|(#[0-9a-f]{6}))", own)
    return {name: colour or named[other] for name, other, colour in told}


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2, "relative luminance")."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21 (WCAG 2.2, "contrast ratio")."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


# What others publish of pairs: the wiki of the library ColorfulSwift, "Contrast" (the first three), and the calculator of
# unitcalctools.com, "Contrast Checker (WCAG)".
PUBLISHED = (
    ("#ffffff", "#000000", 21),
    ("#767676", "#ffffff", 4.54),
    ("#ffff00", "#ffffff", 1.07),
    ("#1e293b", "#ffffff", 14.63),
)


@pytest.mark.parametrize(("one", "other", "ratio"), PUBLISHED)
def test_the_ratio_is_that_of_published_pairs(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == contrast(other, one) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("ground", ["slate", "paper"])
def test_state_words_are_read_on_every_ground(ground: str) -> None:
    sheet = meanings(ground)
    pairs = [(word, on) for word in STATES for on in (*GROUNDS, f"{word}-wash") if on in sheet]
    assert [
        f"{word} on {on}: {contrast(sheet[word], sheet[on]):.2f}"
        for word, on in pairs
        if contrast(sheet[word], sheet[on]) < ENOUGH
    ] == []


@pytest.mark.parametrize("ground", ["slate", "paper"])
def test_the_edge_of_a_clubs_colour_is_seen_on_every_ground(ground: str) -> None:
    sheet = meanings(ground)
    assert min(contrast(sheet["control-edge"], sheet[on]) for on in GROUNDS) >= SEEN


def test_every_club_colour_is_a_bar_with_an_edge_and_without_words() -> None:
    css = (static_dir() / "css/web/parts.css").read_text(encoding="utf-8")
    assert tuple(re.findall(r'^\.club\[data-colour="(\w+)"\]', css, re.M)) == CLUB_COLOURS
    assert "border: 1px solid var(--control-edge)" in css[css.index("\n.club {") :].split("}")[0]
    drawn = [
        one for path in templates_dir().rglob("*.html") for one in re.findall(r'<span class="club".*', path.read_text("utf-8"))
    ]
    assert len(drawn) >= 4 and all(re.match(r'<span class="club"[^<]*></span>', one.replace("{% endif %}", "")) for one in drawn)
