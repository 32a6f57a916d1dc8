"""Twelve payloads, a competition in which every name is one of them, and pages that are careless with them."""

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import unquote

from app.rules.records.document import CompetitionFile
from tests.builders.pairs import FORMAT, SQUAT, a_file, a_mark

# Each sets window.ran when it runs, asks for /pwned, or makes an element with the id pwned.
PAYLOADS = (
    "<script id=pwned>window.ran=1</script>",
    "<img id=pwned src=/pwned onerror=window.ran=1>",
    "<svg id=pwned onload=window.ran=1>",
    '"><script id=pwned>window.ran=1</script>',
    "'\" id=pwned autofocus tabindex=1 onfocus=window.ran=1 x=",
    "javascript:window.ran=1//pwned",
    "</script><script id=pwned>window.ran=1</script>",
    "</title></textarea></style><img id=pwned src=/pwned onerror=window.ran=1>",
    "{{constructor.constructor('window.ran=1')()}}${window.ran=1}",
    '"};window.ran=1;//</pwned>',
    "}*{background:url(/pwned)}</style><link id=pwned rel=stylesheet href=/pwned>",
    "&lt;i&gt;<a id=pwned hx-get=/pwned hx-trigger=load href=javascript:window.ran=1>",
)
HOW_MANY = len(PAYLOADS)

# Run in every page before its own scripts: what the browser itself says was refused.
WATCH = """
window.refusedByPolicy = [];
addEventListener('securitypolicyviolation', (event) => {
  window.refusedByPolicy.push(`${event.violatedDirective} ${event.blockedURI} ${event.sample}`);
});
"""

# Where each payload stands in a page, letter by letter: as a text, in an attribute, in a link, and so on.
SEEN = """(payloads) => {
  const all = [...document.querySelectorAll('*')].filter((one) => !['SCRIPT', 'STYLE'].includes(one.tagName));
  const one = (text) => text.replace(/\\s+/g, ' ');
  const own = (node) => [...node.childNodes].filter((child) => child.nodeType === 3).map((child) => one(child.data));
  const plain = (text) => { try { return decodeURIComponent(text); } catch { return text; } };
  const elsewhere = ['value', 'href', 'src', 'style'];
  const places = {
    title: [one(document.title)],
    text: all.filter((node) => !node.closest('svg') && !['TITLE', 'TEXTAREA'].includes(node.tagName)).flatMap(own),
    drawing: all.filter((node) => node.closest('svg')).flatMap(own),
    attribute: all.flatMap((node) => [...node.attributes].filter((a) => !elsewhere.includes(a.name)).map((a) => one(a.value))),
    link: all.filter((node) => node.hasAttribute('href')).map((node) => one(plain(node.getAttribute('href')))),
    field: all.filter((node) => 'value' in node).map((node) => one(String(node.value))),
  };
  const shows = (found) => payloads.map((payload) => found.some((text) => text.includes(one(payload))));
  return Object.fromEntries(Object.entries(places).map(([place, found]) => [place, shows(found)]));
}"""

# What must not be there: a script that ran, an element of a payload, a style, a link that runs, a refusal by the policy (then
# something was tried).
HARM = """() => {
  const named = ['href', 'src', 'action', 'formaction'];
  const links = [...document.querySelectorAll('[href],[src],[action],[formaction]')];
  const runs = links.flatMap((one) => named.map((name) => one.getAttribute(name) ?? ''));
  return [
    ...(window.ran === undefined ? [] : ['a script ran']),
    ...(document.querySelector('#pwned, [onload], [onerror], [onfocus], [onbegin]') ? ['an element was made'] : []),
    ...(document.querySelector('style, [style*="pwned"], [srcdoc]') ? ['a style was made'] : []),
    ...runs.filter((link) => /^\\s*(javascript|data:text|vbscript)/i.test(link)),
    ...(window.refusedByPolicy ?? []),
  ];
}"""


def pick(n: int) -> str:
    """The payloads in turn."""
    return PAYLOADS[n % HOW_MANY]


def a_hostile_file() -> CompetitionFile:
    """Twelve entries on twelve lanes; every name, note, reason and remark is a payload."""
    plain = a_file([PAYLOADS], heat_of=HOW_MANY, done=[(20, 30, 225 - n) for n in range(HOW_MANY)]).model_dump(mode="json")
    plain["competition"] |= {"name": pick(7), "place": pick(1)}
    plain["competition"]["safety"] = {
        name: pick(n) for n, name in enumerate(("aed", "aed_route", "emergency", "medic", "first_aid"))
    }
    plain["divisions"] = [{"id": f"div_{n}", "name": pick(n)} for n in range(HOW_MANY)]
    plain["clubs"] = [{"id": f"club_{n}", "name": pick(n)} for n in range(HOW_MANY)]
    for n, athlete in enumerate(plain["athletes"]):
        athlete |= {"name": pick(n // 2 + 4 + 4 * (n % 2)), "club": f"club_{n % HOW_MANY}"}
    plain["events"][0]["name"] = pick(10)
    for n, movement in enumerate(plain["events"][0]["format"]["movements"].values()):
        _rename(movement, n)
    plain["judges"] = [{"id": f"jud_{n}", "name": pick(n), "notes": pick(n + 1), "level": pick(n)[:60]} for n in range(HOW_MANY)]
    for n, lane in enumerate(plain["heats"][0]["lanes"]):
        lane |= {"judge": pick(n + 2), "judge_id": f"jud_{n}"}
    plain["protests"] = [
        {"id": f"pro_{n}", "entry": f"ent_0_{n}", "event": "evt", "text": pick(n), "by": pick(n + 1), "via": "desk"}
        for n in range(HOW_MANY)
    ]
    plain["rulings"] = [
        {
            "id": f"rul_{n}",
            "kind": "call",
            "assignment": f"asg_{n}",
            "body": {"call": "other"},
            "by": pick(n),
            "why": pick(n + 5),
            "made_wall_ms": n,
        }
        for n in range(HOW_MANY)
    ]
    plain["marks"] += [mark for n in range(HOW_MANY) for mark in _said(n)]
    return CompetitionFile.model_validate(plain)


def _rename(movement: dict[str, Any], n: int) -> None:
    movement["name"] = pick(n + 2)
    movement["standards"] = [pick(n + k) for k in range(HOW_MANY)]
    movement["cautions"] = [pick(n), pick(n + 6)]
    for k, fault in enumerate(movement["faults"]):
        fault |= {"name": pick(n + k), "say": pick(n + k + 3)}


def _said(n: int) -> Iterator[dict[str, Any]]:
    """A note, a signature and a lift as heavy as no lift is, so that there is something to look at, on one lane's sheet."""
    at = FORMAT.windows[SQUAT[0]].start_ms
    words = ({"text": pick(n)}, {"who": "judge", "name": pick(n + 1)}, {"items": [pick(n + 2)], "name": pick(n + 3)})
    for number, (kind, body) in enumerate(zip(("note", "sign", "check"), words, strict=True)):
        yield a_mark(f"asg_{n}", 500 + number, kind, at + 100_000 + number, None, **body)


CARELESS = {
    "text": "<!doctype html><title>x</title><p>{}</p>",
    "attribute": "<!doctype html><title>x</title><p title=\"{0}\" lang='{0}'>x</p>",
    "bare attribute": "<!doctype html><title>x</title><p title={}>x</p>",
    "link": '<!doctype html><title>x</title><a id=go href="{}">x</a>',
    "script": '<!doctype html><title>x</title><script>const said = {{"name": "{}"}};</script>',
    "title": "<!doctype html><title>{}</title>",
    "style": "<!doctype html><title>x</title><style>p {{ color: {}; }}</style><p>x</p>",
    "field": '<!doctype html><title>x</title><textarea>{0}</textarea><input value="{0}">',
    "drawing": "<!doctype html><title>x</title><svg><text>{}</text></svg>",
}


def _in_frames(context: str, numbers: Sequence[str]) -> str:
    return "<!doctype html><title>x</title>" + "".join(f'<iframe src="/{context}/{n}"></iframe>' for n in numbers)


@contextmanager
def careless(policy: str) -> Iterator[str]:
    """A server of careless pages, at /<context>/<number>, and several in frames at /<context>/<number>+<number>…; its address.

    `policy` is sent with each, if there is one, but for what it says of frames.
    """
    policy = policy.replace("frame-ancestors 'none'", "frame-ancestors 'self'")

    class Pages(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            context, _, asked = unquote(self.path).strip("/").partition("/")
            numbers = asked.split("+")
            found = context in CARELESS and all(map(str.isdecimal, numbers))
            alone = found and len(numbers) == 1
            body = CARELESS[context].format(pick(int(asked))) if alone else _in_frames(context, numbers) if found else ""
            self.send_response(200 if found else 404)
            self.send_header("content-type", "text/html; charset=utf-8")
            if policy and alone:
                self.send_header("content-security-policy", policy)
            self.end_headers()
            self.wfile.write(body.encode())

        def log_message(self, *_: object) -> None:
            """Says nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Pages)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
