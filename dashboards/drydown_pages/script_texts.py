"""The texts of the scripts, for pages in another language than English: what `say` of say.js looks up."""

import json
import re
from functools import cache
from pathlib import Path

from drydown.texts.language import ENGLISH, say, spoken

STATIC = Path(__file__).parent / "static"
_CALL = re.compile(r'\b(?:say|later)\(\s*("(?:[^"\\]|\\.)*")')


@cache
def english() -> tuple[str, ...]:
    """Every text that our scripts say, as it stands in them."""
    scripts = (path.read_text() for path in sorted(STATIC.rglob("*.js")) if "vendor" not in path.parts)
    return tuple(sorted({json.loads(text) for script in scripts for text in _CALL.findall(script)}))


def script_texts() -> dict[str, str]:
    """Translations by their English; nothing where English is spoken."""
    if spoken() == ENGLISH:
        return {}
    return {text: say(text, **_itself(text)) for text in english()}


def _itself(text: str) -> dict[str, str]:
    """Values that leave the places of values as they are: the script fills them."""
    return {name: f"{{{name}}}" for name in re.findall(r"\{(\w+)\}", text)}
