"""The pages for people name only what is there: commands, addresses, settings, alarms, buttons, figures."""

import re
import shlex
import tomllib
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any, get_args

import pytest
from starlette.routing import Match

from drydown.alarms.terms import TERMS
from drydown.cli import COMMANDS, _parser
from drydown.config.kinds import Table
from drydown.config.load import load, parse
from drydown.config.model import Site
from drydown.physics import vapour_limits
from drydown.run.stages import Stage
from drydown.texts.words import VERDICTS
from drydown_api.app import create_app

ROOT = Path(__file__).parents[2]
GUIDE = ROOT / "deploy" / "guide"
PAGES = {path.name: path.read_text("utf-8") for path in sorted(GUIDE.glob("*.md"))}
FOR_USERS = ("README.md", "getting-started.md", "first-evening.md", "trust.md", "safety.md", "glossary.md")
EVERY = pytest.mark.parametrize("name", PAGES)
USERS = pytest.mark.parametrize("name", FOR_USERS)
EXAMPLE = ROOT / "deploy" / "boathouse.toml"
CATALOGUE = re.sub(r'"\n"', "", (ROOT / "daemon/drydown/texts/catalogue.pot").read_text("utf-8"))
ON_DISK = ("/etc/", "/opt/", "/var/", "/dev/", "/sys/")
ELSEWHERE = "/api/v2/"  # the interface of a server that the record is sent on to
MEASURED = "coverage of the 90 % range, methanol (worst run)"
TERM = re.compile(r"^- \*\*(.+?)\*\*: ((?:.|\n  )+)$", re.MULTILINE)


def blocks(page: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", page, re.MULTILINE | re.DOTALL)


def spans(page: str) -> list[str]:
    """What stands between backticks in a line."""
    return re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", page, flags=re.MULTILINE | re.DOTALL))


def commands(page: str) -> Iterator[list[str]]:
    """The words of every command that is shown, without `sudo` and what belongs to it."""
    shown = [line for block in blocks(page, "sh") for line in block.splitlines()] + spans(page)
    for line in shown:
        words = shlex.split(line, comments=True) if line.count("'") % 2 == 0 or '"' in line else []
        if words[:1] == ["sudo"]:
            words = words[3 if words[1] == "-u" else 1 :]
        if words:
            yield words


@EVERY
def test_a_command_exists_with_its_options(name: str) -> None:
    for words in commands(PAGES[name]):
        program = words[0].rpartition("/")[2]
        if program == "drydown" and len(words) > 1 and "".join(words).isalpha():
            assert words[1] in COMMANDS  # it is only named
        elif program == "drydown" and words[1:] not in ([], ["--version"]):
            _parser().parse_args(words[1:])  # complains and leaves if it does not know one
        elif words[0].startswith("deploy/") and not words[0].endswith((".toml", ".md")):
            script = (ROOT / words[0]).read_text("utf-8")
            options = [word for word in words[1:] if word.startswith("--")]
            assert [option for option in options if option not in script and program != "demo"] == []
        elif program == "systemctl":
            units = [word for word in words[1:] if word.startswith("drydown-")]
            assert units
            assert [u for u in units if not (ROOT / f"deploy/units/{u}.service").exists()] == []


def test_the_pages_for_users_show_commands() -> None:
    shown = [words for name in FOR_USERS for words in commands(PAGES[name])]
    assert sum(words[0].endswith("drydown") for words in shown) >= 4
    assert sum(words[0].startswith("deploy/") for words in shown) >= 2


def test_an_address_is_one_of_the_app() -> None:
    app, shown = create_app(load(EXAMPLE)), set[str]()
    tanks = {tank.name for tank in load(EXAMPLE).tank}
    for page in PAGES.values():
        for span in spans(page):
            found = re.fullmatch(r"(?:(GET|POST) )?(/[\w/.-]*)", span)
            if not found or found[2].startswith((*ON_DISK, ELSEWHERE)):
                continue
            method, path = found[1] or "GET", found[2]
            scope: dict[str, Any] = {
                "type": "http",
                "method": method,
                "path": path,
                "root_path": "",
                "headers": [],
            }
            assert any(route.matches(scope)[0] is Match.FULL for route in app.routes), span
            assert "/tanks/" not in path or path.partition("/tanks/")[2].split("/")[0] in tanks, span
            shown.add(path)
    pages = {
        f"/tanks/heron{rest}" for rest in ("", "/when", "/start", "/tests", "/batches", "/upkeep", "/runs")
    }
    assert pages | {"/blend"} <= shown


@EVERY
def test_an_example_of_a_configuration_loads(name: str) -> None:
    for block in blocks(PAGES[name], "toml"):
        loads(block)


def loads(block: str) -> Site:
    """The example by itself where it is whole, or with its tables in the place of the boathouse's."""
    told = tomllib.loads(block)
    if "site" in told:
        return parse(block, "the example")
    tables = tomllib.loads(EXAMPLE.read_text("utf-8")) | told
    if isinstance(told.get("tank"), dict):  # [tank.relay] and the like belong to the tank above them
        tables["tank"] = [tomllib.loads(EXAMPLE.read_text("utf-8"))["tank"][0] | told["tank"]]
    return Site.model_validate(tables)


def keys_of(table: type[Table], place: str = "") -> Iterator[tuple[str, str]]:
    """Every table and key of the configuration as ("tank.fuel", "feedstock"); a table itself has no key."""
    yield place, ""
    for key, field in table.model_fields.items():
        yield place, key
        for inner in tables_in(field.annotation):
            yield from keys_of(inner, f"{place}.{key}".lstrip("."))


def tables_in(annotation: Any) -> Iterator[type[Table]]:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        yield annotation
    for inner in get_args(annotation):
        yield from tables_in(inner)


def test_a_setting_that_is_named_exists() -> None:
    known = set(keys_of(Site))
    named = {
        (name, found[1], found[2] or "")
        for name, page in PAGES.items()
        for span in spans(page)
        if (found := re.fullmatch(r"\[\[?([a-z.]+)\]\]?(?: (\w+))?", span))
    }
    assert len(named) > 5
    assert sorted(one for one in named if one[1:] not in known) == []


def test_every_alarm_has_its_place_on_the_page_of_alarms() -> None:
    for terms in TERMS:
        assert f"\n## {terms.name}\n" in PAGES["alarms.md"]


@USERS
def test_a_link_leads_to_a_file(name: str) -> None:
    links = re.findall(r"\]\(([^)#\s]+)", PAGES[name])
    assert [link for link in links if not (GUIDE / link).is_file()] == []


def test_the_index_leads_to_every_page_and_the_front_page_to_the_index() -> None:
    assert set(PAGES) - {"README.md"} <= set(re.findall(r"\]\(([\w-]+\.md)\)", PAGES["README.md"]))
    assert "(deploy/guide/README.md)" in (ROOT / "README.md").read_text("utf-8")


@pytest.mark.parametrize("name", ["getting-started.md", "first-evening.md"])
def test_words_on_a_page_are_quoted_as_they_stand_there(name: str) -> None:
    quoted = [" ".join(one.split()) for one in re.findall(r"(?<!\*)\*([^*]+)\*(?!\*)", PAGES[name])]
    assert quoted
    assert [one for one in quoted if one.lower() not in CATALOGUE.lower()] == []


def test_a_word_is_explained_once_in_a_sentence_and_in_order() -> None:
    terms = TERM.findall(PAGES["glossary.md"])
    names = [name.lower() for name, _ in terms]
    assert names == sorted(set(names))
    assert [name for name, said in terms if not said.endswith(".") or ". " in said] == []
    assert {*Stage, *(words.lower() for words in VERDICTS.values())} <= set(names)


def test_a_word_that_is_explained_is_used() -> None:
    others = [page for name, page in PAGES.items() if name != "glossary.md"]
    used = plain(" ".join((CATALOGUE, (ROOT / "README.md").read_text("utf-8"), *others)))
    unused = [term for term, _ in TERM.findall(PAGES["glossary.md"]) if not has(used, plain(term))]
    assert unused == []


def plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").split())


def has(text: str, term: str) -> bool:
    return re.search(rf"\b{re.escape(term)}s?\b", text) is not None


def test_the_figures_of_trust_are_those_that_were_measured() -> None:
    measured = rows_of((ROOT / "daemon/drydown/estimate/README.md").read_text("utf-8"), MEASURED)
    told = rows_of(PAGES["trust.md"], "share of the time in which methanol")
    for column in (0, 1):  # reference runs, fresh runs
        table = [row[-2:][column] for row in measured]
        methanol, water, _, _, methanol_errors, water_errors, _, _, gone, dry = table[:10]
        wanted = [*percent(methanol), *percent(water), *percent(methanol_errors), *percent(water_errors)]
        wanted += [gone.split(", ")[0] + " times", *gone.split(", ")[1:]]
        wanted += [dry.split(", ")[0] + " times", *dry.split(", ")[1:]]
        assert [row[column + 1] for row in told] == wanted


def rows_of(page: str, first: str) -> list[list[str]]:
    """The cells of a table's rows, from the one that begins so."""
    lines = page[page.index(f"| {first}") :].split("\n\n")[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def percent(cell: str) -> list[str]:
    shares = re.findall(r"\.\d+", cell)
    return [f"{(Decimal(one) * 100).quantize(Decimal(1), ROUND_HALF_UP)} %" for one in shares]


def test_the_limits_of_vapour_are_those_of_the_physics() -> None:
    # Held against the NIOSH Pocket Guide where the physics is tested.
    wanted = [
        *(
            f"{share * 1e6:.0f} ppm"
            for share in (
                vapour_limits.EXPOSURE_LIMIT,
                vapour_limits.SHORT_EXPOSURE_LIMIT,
                vapour_limits.DANGER_TO_LIFE,
            )
        ),
        f"{vapour_limits.LOWER_FLAMMABLE_LIMIT:.0%}".replace("%", " %"),
        f"{vapour_limits.UPPER_FLAMMABLE_LIMIT:.0%}".replace("%", " %"),
    ]
    assert [row[0] for row in rows_of(PAGES["safety.md"], "200 ppm")] == wanted
    assert f"{vapour_limits.FLASH_POINT - 273.15:.0f} °C" in PAGES["safety.md"]
