"""What each device at a platform held when a screen said something else than it should, written down before it is closed.

Of each, the marks that it lacks and those that the desk lacks, its line with the last messages, whether its frames are drawn, and
what it showed. So a screen that stood still, a line that was dead and a word that was lost are told apart afterwards.
"""

import json
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from playwright.sync_api import Error, Page

from app.rules.records.marks import Mark, received_plain
from tests.browser.hall_server import HallServer
from tests.browser.people import Person

LOOK_MS = 5_000
KEPT = 60  # messages of a line
# The messages of its lines and its requests, the newest last, each with the moment of the page's clock.
TRACE = f"""() => {{
  const told = (window.told = []);
  const note = (...what) => told.push([Math.round(performance.now()), ...what]) > {KEPT} && told.shift();
  const said = (way, text) => {{
    const {{ type, marks, n = null }} = JSON.parse(text);
    if (['ping', 'pong', 'report'].includes(type)) return;
    note(way, type, n, (Array.isArray(marks) ? marks : []).map((mark) => `${{mark.kind}} ${{mark.id.slice(-6)}}`));
  }};
  const Line = WebSocket;
  window.WebSocket = class extends Line {{
    constructor(...given) {{
      super(...given);
      for (const what of ['open', 'close', 'error']) this.addEventListener(what, () => note('line', what));
      this.addEventListener('message', ({{ data }}) => said('heard', data));
    }}
    send(text) {{
      said('said', text);
      return super.send(text);
    }}
  }};
  const ask = window.fetch;
  window.fetch = async (...given) => {{
    const path = new URL(given[0], location.href).pathname;
    note('asks', path);
    try {{
      const answer = await ask(...given);
      note('answered', path, answer.status);
      return answer;
    }} catch (wrong) {{
      note('unanswered', path, String(wrong));
      throw wrong;
    }}
  }};
}}"""
# What a page knows of itself. A frame that is not drawn within two seconds is not drawn.
ASKED = """async () => {
  const drawn = new Promise((done) => requestAnimationFrame(() => done(true)));
  const frame = await Promise.race([drawn, new Promise((over) => setTimeout(over, 2000, false))]);
  const marks = await new Promise((done) => {
    const open = indexedDB.open('lane-ledger');
    open.onerror = () => done([]);
    open.onsuccess = () => {
      if (!open.result.objectStoreNames.contains('marks')) return done([]);
      const all = open.result.transaction('marks').objectStore('marks').getAll();
      all.onsuccess = () => done(all.result.map(({ id, state, made }) => [id, state, made]));
    };
  });
  const [lines, told] = [window.lines ?? [], window.told ?? []];
  return { at: location.pathname, now: Math.round(performance.now()), frame, hidden: document.hidden, online: navigator.onLine,
    lines: lines.map((line) => line.readyState), told, marks, shows: document.body.innerText };
}"""


def write_down(server: HallServer, people: Mapping[str, Person], pages: Mapping[str, Page], tell: Callable[[str], None]) -> Path:
    """Asks every page, says in a line each what it lacked, and leaves the rest in a file."""
    desk: dict[str, Mark] = {mark.id: mark for mark in server.hall.ledger.all_marks()}
    found: dict[str, Any] = {}
    for name, page in {**{seat: person.page for seat, person in people.items()}, **pages}.items():
        found[name] = _asked(page)
        tell(f"  {name}: {_summary(found[name], desk)}")
    marks = [received_plain(mark) for mark in desk.values()]
    topics = {topic: len(those) for topic, those in server.hall.hub._subscribers.items()}
    path = Path(tempfile.mkdtemp(prefix="lane-ledger-meet-")) / "stuck.json"
    path.write_text(json.dumps({"devices": found, "desk": marks, "topics": topics}, indent=1), encoding="utf-8")
    tell(f"  what each held is in {path}")
    return path


def _asked(page: Page) -> dict[str, Any]:
    page.set_default_timeout(LOOK_MS)
    try:
        told: dict[str, Any] = page.evaluate(ASKED)
    except Error as wrong:
        return {"wrong": wrong.message}
    return told


def _summary(told: dict[str, Any], desk: Mapping[str, Mark]) -> str:
    """What a device lacked, in a line. A page without a shelf of its own lacks nothing."""
    if "wrong" in told:
        return f"did not answer: {told['wrong']}"
    state = f"frames {'drawn' if told['frame'] else 'not drawn'}, line {told['lines'][-1:] or 'none'}"
    here = {one for one, *_ in told["marks"]}
    if not here:
        return state
    sheets = {desk[one].sheet.split("/")[0] for one in here if one in desk}
    lacks = [mark for mark in desk.values() if mark.id not in here and mark.sheet.split("/")[0] in sheets]
    unsent = [one for one, where, made in told["marks"] if made and where != "safe"]
    return f"{state}, lacks {[f'{one.kind} on {one.sheet}' for one in lacks]}, keeps {len(unsent)} that the desk has not"
