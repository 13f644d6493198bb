"""A language for tests: every text longer than in English and between ⟦ and ⟧, values as they are."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from drydown.texts.language import ENGLISH, speak
from support.catalogue import catalogue

NAME = "qqa"  # ISO 639-2 keeps qaa to qtz for local use
LONGER = 0.3  # of the English: what German and Finnish often take


@contextmanager
def bracketed(folder: Path) -> Iterator[None]:
    """Everything is said so while the block lasts; `folder` takes the language's file."""
    translation = Catalog(locale="en")
    for message in catalogue():
        if message.id:
            forms = [message.id] if isinstance(message.id, str) else list(message.id)
            said = [f"⟦{form}{' ~~~~' * round(len(form) * LONGER / 5)}⟧" for form in forms]
            translation.add(message.id, said[0] if isinstance(message.id, str) else said)
    with (folder / f"{NAME}.mo").open("wb") as file:
        write_mo(file, translation)
    speak(NAME, folder)
    try:
        yield
    finally:
        speak(ENGLISH)


def outside(text: str) -> str:
    """What of a text stands outside all brackets."""
    found, depth = [], 0
    for letter in text:
        depth += (letter == "⟦") - (letter == "⟧")
        if depth == 0 and letter != "⟧":
            found.append(letter)
    return "".join(found)


UNITS = r"\b(?:mg/\u2060?kg|ppm|kWh|min|cm|gal)\b|\d\s(?:am|pm)\b"
NAMES = ("drydown token make NAME", "drydown", "boathouse", "heron", "plover", "Wren", "opened the window")
_WORD = re.compile(r"[A-Za-z]{2,}")


def has_escaped(text: str) -> bool:
    """Whether a word stands outside all brackets that is neither a unit nor a name of the boathouse's."""
    return bool(_WORD.search(re.sub("|".join((UNITS, *NAMES)), "", outside(text))))
