"""A bar's plan on a phone: ten loads of twelve kinds of plate, in a real Chromium at a quarter of this machine's speed.

The quick plan, which no tap may wait for; and after it the plan with fewer moves from its worker, which is no promise.
"""

import statistics
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page

from tests.bench.browser import chromium
from tests.bench.figures import Figure, Goal
from tests.browser.people import PHONE
from tests.browser.static_server import serving

SLOWDOWN = 4
PLANS = 12  # of each order, from a fixed seed
GOAL = Goal("at most", 100)
ORDERS = {"heavy": "heavy inside", "free": "in any order"}

# Loads from 60 to 260 kg in half kilograms; six pairs of each heavy plate, two of each light one.
PLANNED = """async ([heavy, plans]) => {
  const { Planner } = await import("/static/js/screens/floor/call/planner.js");
  const kg = (amount) => ({ amount, unit: "kg" });
  const kinds = ["50", "25", "20", "15", "10", "5", "2.5", "2", "1.5", "1.25", "1", "0.5"].map((amount) => (
    { weight: kg(amount), pairs: +amount >= 20 ? 6 : 2, across_mm: 450, thick_mm: 20, colour: null }));
  let seed = 7;
  const chance = () => (seed = (seed * 1103515245 + 12345) % 2147483648) / 2147483648;
  let better = () => {};
  const planner = new Planner(() => better());
  const moves = ({ sides }) => sides.reduce(([sum, before], side) => {
    const kept = side.findIndex((kind, place) => kind !== before[place]);
    return [sum + before.length + side.length - 2 * (kept < 0 ? side.length : kept), side];
  }, [0, []])[0];
  const found = [];
  for (let n = 0; n < plans; n += 1) {
    const kit = { kinds, bar: kg("20"), collars: kg("5"), heavy_inside: heavy, sleeve_mm: 415 };
    const loads = Array.from({ length: 10 }, () => kg(String(60 + Math.floor(chance() * 400) / 2)));
    const come = new Promise((done) => { better = () => done(undefined); });
    const begun = performance.now();
    const quick = planner.through(kit, loads, []);
    const there = performance.now();
    await come;
    const last = performance.now();
    found.push({ quick: there - begun, better: last - begun, moves: [moves(quick), moves(planner.through(kit, loads, []))] });
    await new Promise((rested) => setTimeout(rested, 200));
  }
  return found;
}"""


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Plans in both orders. Raises NoBrowser."""
    with serving() as address, chromium() as browser:
        page = browser.new_page(viewport={"width": PHONE["width"], "height": PHONE["height"]})
        page.goto(address)
        page.evaluate(PLANNED, [True, 1])  # while scripts are compiled
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
        return [figure for order in ORDERS for figure in _figures(page, order, tell)]


def _figures(page: Page, order: str, tell: Callable[[str], None]) -> list[Figure]:
    tell(f"loading: {PLANS} plans of ten loads, {ORDERS[order]}")
    found: list[dict[str, Any]] = page.evaluate(PLANNED, [order == "heavy", PLANS])
    quick, better = ([one[what] for one in found] for what in ("quick", "better"))
    spared = [1 - after / before for before, after in (one["moves"] for one in found)]
    said = f"a bar's plan of ten loads, twelve kinds, {ORDERS[order]}"
    return [
        Figure(f"loading.{order}.quick", f"{said}: there after (median)", statistics.median(quick), "ms", GOAL),
        Figure(f"loading.{order}.quick_worst", f"{said}: there after (worst)", max(quick), "ms", GOAL),
        Figure(f"loading.{order}.better", f"{said}: from the worker after (median)", statistics.median(better), "ms"),
        Figure(f"loading.{order}.better_worst", f"{said}: from the worker after (worst)", max(better), "ms"),
        Figure(f"loading.{order}.spared", f"{said}: moves that the worker spares (median)", statistics.median(spared) * 100, "%"),
    ]
