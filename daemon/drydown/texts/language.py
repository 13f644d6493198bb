"""The language of the site: every text stands in English in the code, and is said in a translation.

`catalogue.pot` beside this file lists them all; LANGUAGE.po translates it, LANGUAGE.mo is that for machines.
The language holds for the whole process, like a locale: a command tells it once what the configuration says.
"""

from gettext import GNUTranslations, NullTranslations
from pathlib import Path

ENGLISH = "en"
FOLDER = Path(__file__).parent


class _Spoken:
    """What is spoken in this process."""

    language = ENGLISH
    texts: NullTranslations = NullTranslations()


def say(english: str, /, **values: object) -> str:
    """A text in the language of the site, with values in the place of its {names}."""
    return _Spoken.texts.gettext(english).format_map(values) if english else ""


def counted(one: str, several: str, count: int, /, **values: object) -> str:
    """A text that depends on a number, which stands in it as {count}, in the form that the language has."""
    return _Spoken.texts.ngettext(one, several, count).format_map(values | {"count": count})


def later(english: str) -> str:
    """Marks a text of a table for the catalogue; it stays English until `say` says it."""
    return english


def languages(folder: Path = FOLDER) -> list[str]:
    """The languages whose texts are there."""
    return [ENGLISH, *sorted(file.stem for file in folder.glob("*.mo"))]


def speak(language: str, folder: Path = FOLDER) -> None:
    """From now on say everything in one of `languages`."""
    texts = NullTranslations()
    if language != ENGLISH:
        with (folder / f"{language}.mo").open("rb") as file:
            texts = GNUTranslations(file)
    _Spoken.language, _Spoken.texts = language, texts


def spoken() -> str:
    """The language that is spoken: "en"."""
    return _Spoken.language
