"""Scripts that are sent as one do in Chromium what their modules would do by themselves."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from drydown_pages.joined import joined
from drydown_pages.render import STATIC

pytestmark = pytest.mark.browser


def _written(folder: Path, scripts: Mapping[str, str]) -> Path:
    """The first of these scripts, with the others beside it."""
    for name, text in scripts.items():
        place = folder / name
        place.parent.mkdir(exist_ok=True)
        place.write_text(text)
    return folder / next(iter(scripts))


def _found(chromium: Browser, script: Path) -> Any:
    """What it leaves in `window.found`."""
    page = chromium.new_page()
    page.set_content(f'<script type="module">{joined(script)}</script>')
    found = page.evaluate("window.found")
    page.close()
    return found


PAGE = """\
import { Count } from "./count.js";
import {
  next,
  WIDTH as wide,
} from "../shared.js";
const kept = [new Count().ask(), next(), wide];
window.found = kept;
"""
COUNT = """\
import { next as following } from "../shared.js";
const kept = 10;
export class Count {
  ask() {
    return kept * following();
  }
}
"""
SHARED = """\
let kept = 0;
export const WIDTH = 390;
export function next() {
  kept += 1;
  return kept;
}
"""


def test_each_module_keeps_its_own_names_and_runs_once(chromium: Browser, tmp_path: Path) -> None:
    script = _written(tmp_path, {"run/page.js": PAGE, "run/count.js": COUNT, "shared.js": SHARED})
    assert _found(chromium, script) == [10, 2, 390]


def test_what_a_module_does_later_is_exported_too(chromium: Browser, tmp_path: Path) -> None:
    later = "export async function later() {\n  return 'later';\n}\n"
    script = _written(
        tmp_path,
        {
            "page.js": 'import { later } from "./later.js";\nwindow.found = await later();\n',
            "later.js": later,
        },
    )
    assert _found(chromium, script) == "later"


@pytest.mark.parametrize(
    "odd",
    [
        'import other from "./other.js";',
        'import * as other from "./other.js";',
        'import { other } from "elsewhere";',
        'import "./other.js";',
        "export default 3;",
        "export let other = 3;",
        "export { other };",
    ],
)
def test_what_cannot_be_joined_is_told_with_what_to_write(tmp_path: Path, odd: str) -> None:
    script = _written(tmp_path, {"page.js": f"{odd}\n", "other.js": "export const other = 3;\n"})
    with pytest.raises(ValueError, match="cannot be joined") as refused:
        joined(script)
    assert str(script) in str(refused.value)
    assert odd in str(refused.value)


def test_modules_that_need_each_other_are_refused(tmp_path: Path) -> None:
    script = _written(
        tmp_path,
        {
            "page.js": 'import { one } from "./one.js";\n',
            "one.js": 'import { other } from "./other.js";\nexport const one = 1;\n',
            "other.js": 'import { one } from "./one.js";\nexport const other = 2;\n',
        },
    )
    with pytest.raises(ValueError, match="move what both need to a third"):
        joined(script)


@pytest.mark.parametrize("script", sorted(STATIC.rglob("*.js")), ids=lambda path: path.name)
def test_no_script_of_ours_asks_for_another(script: Path) -> None:
    lines = joined(script).splitlines()
    assert not [line for line in lines if line.startswith("import ")]
