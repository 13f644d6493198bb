"""The catalogue of texts has all that the code says; a translation that would lose a value is refused."""

from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from drydown.texts.language import FOLDER, counted, languages, say, speak, spoken
from drydown_pages.script_texts import english, script_texts
from support.brackets import bracketed, outside
from support.catalogue import CODE, TEMPLATE, catalogue, faults, names, texts_of, unsayable, written

MODULES = [path for folder in CODE for path in folder.rglob("*.py")]


def test_the_catalogue_has_what_the_code_says() -> None:
    assert TEMPLATE.read_bytes() == written(catalogue()), "run deploy/texts"


def test_no_text_is_made_up_on_the_spot() -> None:
    assert {path.name: lines for path in MODULES if (lines := unsayable(path))} == {}


def test_values_stand_in_texts_by_name() -> None:
    found = {name for message in catalogue() if message.id for name in names(message.id)}
    assert all(name.isidentifier() for name in found), found


def test_every_translation_that_is_there_is_whole() -> None:
    for path in FOLDER.glob("*.po"):
        with path.open("rb") as file:
            assert faults(read_po(file, locale=path.stem)) == []
        assert path.with_suffix(".mo").exists(), "run deploy/texts"


@pytest.mark.parametrize(
    ("translated", "fault"),
    [
        ("{wann} frei", "has lost time"),
        ("um {time} frei, {again}", "has again, which nothing fills"),
        ("um {time frei", "a brace stands alone"),
        ("um {} frei", "has lost time"),
        ("", "not translated"),
    ],
)
def test_a_translation_that_lost_a_value_is_refused(translated: str, fault: str) -> None:
    content = f'msgid "gone at {{time}}"\nmsgstr "{translated}"\n'
    assert any(fault in one for one in faults(read_po(BytesIO(content.encode()))))


@pytest.mark.parametrize(
    ("first", "second", "is_whole"),
    [
        ("ein Lauf von {tank}", "{count} Läufe von {tank}", True),  # the one need not be a digit
        ("ein Lauf", "{count} Läufe von {tank}", False),
        ("ein Lauf von {tank}", "{anzahl} Läufe von {tank}", False),
    ],
)
def test_each_form_of_a_number_keeps_its_values(first: str, second: str, is_whole: bool) -> None:
    content = (
        'msgid "1 run of {tank}"\nmsgid_plural "{count} runs of {tank}"\n'
        f'msgstr[0] "{first}"\nmsgstr[1] "{second}"\n'
    )
    assert (faults(read_po(BytesIO(content.encode()))) == []) is is_whole


def test_scripts_say_what_is_looked_up_for_them() -> None:
    scripts = (path for path in CODE[2].rglob("*.js") if "vendor" not in path.parts)
    assert set(english()) == {text for path in scripts for text in texts_of(path)}


def test_english_needs_no_file_and_says_what_stands_there() -> None:
    assert spoken() == "en"
    assert languages()[0] == "en"
    assert say("gone at {time}", time="16:40") == "gone at 16:40"
    assert (counted("1 run", "{count} runs", 1), counted("1 run", "{count} runs", 2)) == ("1 run", "2 runs")
    assert say("") == ""
    assert script_texts() == {}


def test_another_language_is_spoken_from_its_file(tmp_path: Path) -> None:
    with bracketed(tmp_path):
        assert say("Units and clock").startswith("⟦Units and clock ~")
        assert outside(f"a {say('Units and clock')} b ⟦c ⟦d⟧ e⟧") == "a  b "
        assert all(text.startswith("⟦") for text in script_texts().values())
    assert spoken() == "en"
    with pytest.raises(FileNotFoundError):
        speak("xx", tmp_path)
