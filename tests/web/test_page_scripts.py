"""A page's script with all that it imports, as one file: it does what its modules do."""

import re
from collections.abc import Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Page

from app.paths import static_dir
from app.web.assets import SCRIPTS_OFFLINE, alone, offline_paths, served_bytes
from app.web.page_scripts import APART, EXPORT, IMPORT, BadModule, apart_of, is_page, page_script

PAGES = sorted(
    name for path in static_dir().rglob("*.js") if is_page(name := path.relative_to(static_dir()).as_posix())
)  # every page's own script
TYPED = re.compile(r'import\("([^"]+)"\)\.(\w+)')  # in a comment that tells a type
NAMED = re.compile(r"^// (js/\S+)$", re.M)
IMPORTED = re.compile(r'^import [^;]* from "([^"]+)";$', re.M)


def put_together(page: str, modules: Mapping[str, str]) -> str:
    return page_script(page, modules.__getitem__)


def test_every_script_that_a_page_names_is_one_file_or_stays_apart() -> None:
    templates = (static_dir().parent / "templates").rglob("*.html")
    named = {name for path in templates for name in re.findall(r"static_url\('(js/[^']+)'\)", path.read_text("utf-8"))}
    assert len(named) > 10
    loose = {name for name in named if not is_page(name) and name not in APART}
    assert all(not IMPORTED.findall(alone(static_dir() / name).decode()) for name in loose)


@pytest.mark.parametrize("page", PAGES)
def test_each_module_stands_once_and_after_those_that_it_imports(page: str) -> None:
    sent = served_bytes(static_dir() / page).decode()
    order = NAMED.findall(sent)
    assert order[-1] == page and len(order) == len(set(order)) and not APART & set(order)
    seen = set(APART)
    for name in order:
        for path in IMPORTED.findall(alone(static_dir() / name).decode()):
            found = (static_dir() / name).parent.joinpath(path).resolve().relative_to(static_dir().resolve()).as_posix()
            assert found in seen, (name, found)
        seen.add(name)


def test_what_a_page_fetches_beside_its_script_is_kept_for_work_without_network() -> None:
    kept = set(offline_paths(static_dir()))
    beside = {name for page in SCRIPTS_OFFLINE for name in apart_of(page, lambda name: alone(static_dir() / name).decode())}
    assert {"js/parts/ground.js", "js/device/mirror_worker.js", "js/screens/floor/plan_worker.js"} <= beside <= kept
    assert "js/rules/lifting/fewest_moves.js" not in beside, "a worker beside the pages travels as one file"


@pytest.mark.browser
def test_modules_that_use_the_same_names_do_not_meet_in_a_browser(page: Page) -> None:
    modules = {
        "js/screens/a/page.js": 'import { one as first, Two } from "../../parts/x.js";\nimport { one } from "../../parts/y.js";\n'
        "await Promise.resolve();\nglobalThis.found = [first, new Two().three(), one()];",
        "js/parts/x.js": 'import { one as other } from "./y.js";\nconst hidden = 1;\nexport const one = hidden;\n'
        "export class Two {\n  three() {\n    return other() + one;\n  }\n}",
        "js/parts/y.js": "const hidden = 40;\nexport function one() {\n  return later();\n}\nconst later = () => hidden;",
    }
    page.goto("about:blank")
    page.add_script_tag(content=put_together("js/screens/a/page.js", modules), type="module")
    page.wait_for_function("globalThis.found")
    assert page.evaluate("globalThis.found") == [1, 41, 40]


@pytest.mark.parametrize(
    "text",
    [
        "export default 1;",
        'import * as all from "./y.js";',
        'import "./y.js";',
        'export { one } from "./y.js";',
        "export let one = 1;",
        'const late = await import("./y.js");',
    ],
)
def test_another_form_of_import_or_export_is_told_by_its_file_and_line(text: str) -> None:
    modules = {"js/screens/a/page.js": f"const before = 1;\n{text}", "js/screens/a/y.js": "export const one = 1;"}
    with pytest.raises(BadModule, match=r"^js/screens/a/page\.js: .*(im|ex)port"):
        put_together("js/screens/a/page.js", modules)


def test_a_circle_of_modules_is_told() -> None:
    modules = {
        "js/screens/a/page.js": 'import { x } from "./x.js";',
        "js/screens/a/x.js": 'import { y } from "./y.js";\nexport const x = 1;',
        "js/screens/a/y.js": 'import { x } from "./x.js";\nexport const y = 1;',
    }
    with pytest.raises(BadModule, match=r"x\.js > js/screens/a/y\.js > js/screens/a/x\.js"):
        put_together("js/screens/a/page.js", modules)


def test_a_name_that_the_other_module_does_not_give_is_told() -> None:
    modules = {
        "js/screens/a/page.js": 'import {\n  gone,\n  x as y,\n} from "./x.js";',
        "js/screens/a/x.js": "const gone = 2;\nexport const x = gone;",
    }
    with pytest.raises(BadModule, match=r"page\.js takes gone from js/screens/a/x\.js"):
        put_together("js/screens/a/page.js", modules)


def test_what_a_module_gives_somebody_takes_and_what_it_takes_it_uses() -> None:
    """By modules of the tree, as a type in a comment, or by a test that names the module."""
    root = static_dir().resolve()
    modules = {path: path.read_text("utf-8") for path in root.rglob("*.js") if "vendor" not in path.parts}
    here = Path(__file__).parent.parent
    tests = [path.read_text("utf-8") for path in (*here.rglob("*.py"), *here.rglob("*.js"))]
    taken, idle = set[tuple[Path, str]](), set[str]()
    for path, text in modules.items():
        body = IMPORT.sub("", alone(path).decode())
        for names, other in IMPORT.findall(text):
            for one, called in re.findall(r"(\w+)(?: as (\w+))?", names):
                taken.add((path.parent.joinpath(other).resolve(), one))
                idle |= set() if re.search(rf"\b{called or one}\b", body) else {f"{path.name} takes {one}"}
        taken |= {(path.parent.joinpath(other).resolve(), one) for other, one in TYPED.findall(text)}
    given = {(path, one) for path, text in modules.items() for one in EXPORT.findall(text)}
    tried = {(path, one) for path, one in given - taken if any(path.name in test and one in test for test in tests)}
    assert len(given) > 500
    assert idle | {f"{path.name} gives {one}" for path, one in given - taken - tried} == set()
