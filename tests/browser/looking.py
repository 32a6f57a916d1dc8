"""What is looked at on a page as it stands: whether it fits, whether fingers can hit it, whether everybody can use it."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.browser.people import PHONE, TABLET, WALL

SIZES = {"tablet": TABLET, "upright": {"width": 768, "height": 1024}, "phone": PHONE, "wall": WALL}
# A phone on its side, a tablet at two and at four times its size.
LOW = {
    "side": {"width": 844, "height": 390},
    "small side": {"width": 667, "height": 375},
    "small": {"width": 512, "height": 384},
    "smallest": {"width": 320, "height": 256},
    "small upright": {"width": 320, "height": 480},
}
ALL_SIZES = {**SIZES, "in a browser": {"width": 1024, "height": 682}, "wide": {"width": 1180, "height": 820}, **LOW}
LOW_PX = 640  # below this height there is not room for a whole hand's target
TOUCH_PX = 44  # the least there
HAND_PX = 72  # the least side of what a chalky finger must hit
# What is done again and again, or in a hurry: it is in sight without scrolling.
ALWAYS = (
    *("count-target", "no-rep", "take-back", "good-lift", "no-lift", "racked", "finish", "declare", "measure"),
    *("load-up", "load-down", "rep-more", "open-menu"),
)
# What stands out of the window, is too small, lies over another control. The rest may be out of sight if it can be scrolled to;
# where people read in a hurry, with a sign that there is more.
FAULTS = """(least) => {
  const controls = [...document.querySelectorAll('main button, main input:not([type=checkbox]), main select')];
  const seen = controls.filter((one) => one.checkVisibility() && one.getClientRects().length);
  const name = (one) => one.dataset.role || one.getAttribute('aria-label') || one.textContent.trim() || one.id;
  const box = (one) => one.getBoundingClientRect();
  const scrolls = (one) => {
    if (ALWAYS.includes(one.dataset.role)) return false;
    for (let at = one.parentElement; at; at = at.parentElement) {
      if (['auto', 'scroll'].includes(getComputedStyle(at).overflowY) && at.scrollHeight > at.clientHeight) return true;
    }
    return document.scrollingElement.scrollHeight > innerHeight && getComputedStyle(document.body).overflowY !== 'hidden';
  };
  const outside = (b) => b.left < -1 || b.top < -1 || b.right > innerWidth + 1 || b.bottom > innerHeight + 1;
  const across = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const along = (a, b) => Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  const found = [];
  if (document.documentElement.scrollWidth > innerWidth) found.push('the page sticks out sideways');
  seen.forEach((one, n) => {
    const b = box(one);
    const small = Math.min(b.width, b.height) < least - 1;
    if (small) found.push(`${name(one)} is ${Math.round(b.width)} x ${Math.round(b.height)}`);
    if (outside(b) && !scrolls(one)) found.push(`${name(one)} is out of the window`);
    for (const two of seen.slice(n + 1)) {
      const apart = one.contains(two) || two.contains(one) || across(b, box(two)) <= 1 || along(b, box(two)) <= 1;
      if (!apart && !scrolls(one) && !scrolls(two)) found.push(`${name(one)} lies on ${name(two)}`);
    }
    const [x, y] = [b.left + b.width / 2, Math.min(b.bottom, innerHeight) - 4];
    const covered = !one.contains(document.elementFromPoint(x, y));
    if (ALWAYS.includes(one.dataset.role) && covered) found.push(`${name(one)} is covered`);
  });
  for (const one of document.querySelectorAll('.faults, .lift-faults, .bar-read, .attempts')) {
    if (!one.getClientRects().length) continue;
    const below = one.scrollHeight - one.scrollTop - one.clientHeight > 8 && !('more' in one.dataset);
    const aside = one.scrollWidth > one.clientWidth + 8 && !('before' in one.dataset) && !('after' in one.dataset);
    if (below || aside) found.push(`${one.className} goes on without a sign`);
    if (one.matches('.lift-faults, .bar-read') && box(one).width < innerWidth / 3) found.push(`${one.className} is narrow`);
  }
  return found;
}"""

# WCAG 2.2 asks for it, and axe-core leaves it out unless asked.
TARGET_SIZE = {"rules": {"target-size": {"enabled": True}}}

# A label or a link to an id that two things have leads to the first of them, and axe-core does not see it.
TWICE = """() => {
  const ids = [...document.querySelectorAll('[id]')].map((one) => one.id);
  return ids.filter((id, n) => ids.indexOf(id) < n);
}"""

# axe-core would fetch every style sheet again, for a rule that is not asked for.
QUICKLY = {"resultTypes": ["violations"], "preload": False}
# Four fifths of its work is contrast, of every row of a table anew.
BUT_CONTRAST = {"color-contrast": {"enabled": False}}
GRAVE = ("serious", "critical")
CONTRAST = {"runOnly": ["color-contrast"]}
# The kinds of text on a page: its colour and letters, and of all that it stands in what is painted, or lies over something else,
# by its name and its look. One of each kind is kept at hand for `FAINT`.
KINDS_OF_TEXT = """() => {
  const above = new Map();
  const ground = (one) => {
    if (!one) return '';
    if (!above.has(one)) {
      const { backgroundColor, backgroundImage, opacity, position, filter } = getComputedStyle(one);
      const looks = [backgroundColor, backgroundImage, opacity, position, filter].join();
      const own = looks === 'rgba(0, 0, 0, 0),none,1,static,none' ? '' : ` > ${one.tagName}.${one.className} ${looks}`;
      above.set(one, ground(one.parentElement) + own);
    }
    return above.get(one);
  };
  const says = (one) => 'value' in one || [...one.childNodes].some((child) => child.nodeType === 3 && child.data.trim());
  window.kindsOfText = new Map();
  for (const one of document.body.querySelectorAll('*')) {
    if (!says(one) || !one.checkVisibility()) continue;
    const { color, fontSize, fontWeight, textShadow } = getComputedStyle(one);
    window.kindsOfText.set(`${ground(one)} ${[color, fontSize, fontWeight, textShadow].join()}`, one);
  }
  return [...window.kindsOfText.keys()];
}"""
# What axe-core finds in kinds of text, and in which: what was on the page a moment ago may have been drawn anew, or be gone.
FAINT = f"""async ([rules, kinds]) => {{
  ({KINDS_OF_TEXT})();
  const here = kinds.filter((kind) => window.kindsOfText.has(kind));
  const include = here.map((kind) => window.kindsOfText.get(kind));
  return [here, here.length ? (await axe.run({{ include }}, rules)).violations : []];
}}"""
# A finding weighs what its rule weighs, so rules whose findings would be thrown away are not run.
VIOLATIONS = """async ([asked, impacts]) => {
  const others = axe._audit.rules.filter(({ impact }) => impacts.length && impact && !impacts.includes(impact));
  const without = Object.fromEntries(others.map(({ id }) => [id, { enabled: false }]));
  return (await axe.run(document, { ...asked, rules: { ...asked.rules, ...without } })).violations;
}"""
_GOOD_KINDS: set[str] = set()
# What WCAG 2.2 asks at its level AA, of a page whose own best practices are looked at elsewhere.
AT_AA = {**QUICKLY, "runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}


def faults_at(page: Page, least: int = HAND_PX, sizes: Mapping[str, Any] = SIZES) -> dict[str, Any]:
    """What is wrong at each size; an empty answer is a good one."""
    found = {}
    for name, size in sizes.items():
        page.set_viewport_size(size)  # type: ignore[arg-type]
        # Two frames: one to lay out, one for what follows its size.
        page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
        if faults := page.evaluate(
            FAULTS.replace("ALWAYS", repr(list(ALWAYS))),
            min(least, TOUCH_PX) if size["height"] < LOW_PX else least,
        ):
            found[name] = faults
    return found


def found_on(page: Page, light: bool = True) -> list[str]:
    """What is serious or critical on a page as it stands: all rules on the dark ground, and contrast again on the light one.

    Of a kind of text one is looked at, and none of a kind that was found good before.
    """
    found = [f"the id {one} is there twice" for one in page.evaluate(TWICE)]
    found += _too_faint(page, "dark") + _grave("dark", _violations(page, {**QUICKLY, **TARGET_SIZE}, GRAVE))
    return found + (_too_faint(page, "light") if light else [])


def _too_faint(page: Page, ground: Literal["dark", "light"]) -> list[str]:
    """The texts without contrast on a ground; the page stays on that ground."""
    page.emulate_media(color_scheme=ground)
    return _grave(ground, _faint(page))


def _faint(page: Page) -> list[dict[str, Any]]:
    """What axe-core finds in the texts of a page as it stands, of the kinds that are new. Nothing on it moves from then on: a
    colour on its way to another would be a kind of a moment."""
    page.emulate_media(reduced_motion="reduce")
    new = [kind for kind in page.evaluate(KINDS_OF_TEXT) if kind not in _GOOD_KINDS]
    if not new:
        return []
    _bring_axe(page)
    here, violations = page.evaluate(FAINT, [{**QUICKLY, **CONTRAST}, new])
    if not violations:
        _GOOD_KINDS.update(here)
    return list(violations)


def _grave(ground: str, violations: list[dict[str, Any]]) -> list[str]:
    grave = [one for one in violations if one["impact"] in GRAVE]
    return [f"{ground}: {one['id']}: {node['html'][:200]}" for one in grave for node in one["nodes"]]


def broken_rules(page: Page, rules: Mapping[str, Any] = AT_AA) -> list[tuple[str, str]]:
    """The rules that a page as it stands breaks, each with the first place at which it does; its contrast as `found_on` looks."""
    return _first_places(_faint(page) + _violations(page, rules))


def faint_texts(page: Page) -> list[tuple[str, str]]:
    """Of these the rule of contrast alone: what the ground changes."""
    return _first_places(_faint(page))


def _first_places(violations: list[dict[str, Any]]) -> list[tuple[str, str]]:
    return [(one["id"], one["nodes"][0]["html"]) for one in violations]


def _violations(page: Page, rules: Mapping[str, Any], impacts: Sequence[str] = ()) -> list[dict[str, Any]]:
    """What axe-core finds on the whole page but for contrast; where impacts are named, by the rules of those alone."""
    _bring_axe(page)
    asked = {**rules, "rules": {**rules.get("rules", {}), **BUT_CONTRAST}}
    found: list[dict[str, Any]] = page.evaluate(VIOLATIONS, [asked, list(impacts)])
    return found


def _bring_axe(page: Page) -> None:
    """Brings axe-core to a page once: it is half a megabyte."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)


def sideways_at(page: Page) -> list[str]:
    """The sizes at which a page sticks out sideways; it is left at the first of them."""
    found = []
    for name, size in reversed(SIZES.items()):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(name)
    return found
