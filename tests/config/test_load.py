"""A configuration file is read whole, or refused with sentences that say where and what to mend."""

import math
import os
import random
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.config.load import ConfigError, load, parse
from drydown.config.model import OneWireProbe, PinProbe, Site
from drydown.errors import UserError
from drydown.physics.vessel import of_shape
from support.boathouse import heron

BOATHOUSE = """\
site = "boathouse"
[tank]                      # the only one
name = "heron"
shape = "vertical-cylinder"
diameter = 0.60             # m, inside
height = 0.90               # m
standpipe = 0.152
[fuel]
feedstock = "used-cooking-oil"
[blower]
rated_flow = 0.015
[room]
volume = 60
fresh_air = 0.5
[limits]
fuel_temperature = 60
[probes]
"fuel/temperature" = { w1 = "28-0000071c2a3b" }
"blower/running" = { gpio = 17 }
[notices]
routes = [ { name = "phone", address_file = "phone.txt" } ]
"""

TWO_TANKS = """\
site = "boathouse"
[[tank]]
name = "heron"
shape = "cone-bottom"
diameter = 0.6
height = 0.7
cone_height = 0.3
standpipe = 0.15
fuel = { feedstock = "soy" }
blower.rated_flow = 0.015
[tank.room]
volume = 60
fresh_air = 0.5
[[tank]]
name = "plover"
shape = "table"
table = [[0, 0], [0.5, 0.15]]
standpipe = 0.1
[tank.fuel]
feedstock = "soy"
[tank.blower]
rated_flow = 0.01
[tank.room]
volume = 60
fresh_air = 0.5
[tank.probes]
"vent/open" = { gpio = 4, active = "high" }
"""


def complaints(text: str) -> list[str]:
    with pytest.raises(ConfigError) as error:
        parse(text, "tank.toml")
    return str(error.value).splitlines()


def changed(old: str, new: str, text: str = BOATHOUSE) -> str:
    assert text.count(old) == 1
    return text.replace(old, new)


def test_one_tank_with_its_tables_beside_it() -> None:
    site = parse(BOATHOUSE, "tank.toml")
    (tank,) = site.tank
    assert (site.site, tank.name, tank.diameter, tank.room.volume) == ("boathouse", "heron", 0.6, 60.0)
    assert tank.limits.fuel_temperature == pytest.approx(333.15)
    assert tank.probes == {
        "fuel/temperature": OneWireProbe(w1="28-0000071c2a3b"),
        "blower/running": PinProbe(gpio=17),
    }
    assert site.notices.routes[0].address_file == Path("phone.txt")


def test_several_tanks_with_their_tables_inside() -> None:
    site = parse(TWO_TANKS, "tank.toml")
    assert [tank.name for tank in site.tank] == ["heron", "plover"]
    assert [tank.blower.rated_flow for tank in site.tank] == [0.015, 0.01]
    assert site.tank[1].table == ((0.0, 0.0), (0.5, 0.15))
    assert site.tank[1].probes == {"vent/open": PinProbe(gpio=4, active="high")}


def test_a_run_needs_only_site_tank_fuel_blower_and_room() -> None:
    short = BOATHOUSE[: BOATHOUSE.index("[limits]")]
    assert parse(short, "tank.toml").tank[0].probes == {}


READINGS = (
    "fuel/temperature, fuel/level, blower/running, blower/discharge_temperature, blower/motor_temperature, "
    "blower/current, air/temperature, air/humidity, vent/open, vent/flow, vapour/methanol"
)
KINDS = "w1, gpio, iio, hwmon, mqtt, recorded, simulated"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "feedstock =",
            "feedstok =",
            "tank.toml line 9: fuel.feedstok is not a key here; did you mean feedstock? "
            "allowed: feedstock, methanol_limit, water_limit, settled_drop",
        ),
        (
            "feedstock =",
            "feedstok =",
            "tank.toml line 8: fuel.feedstock is missing; "
            "allowed: used-cooking-oil, soy, rapeseed, palm, tallow, other",
        ),
        (
            '"used-cooking-oil"',
            '"used cooking oil"',
            'tank.toml line 9: fuel.feedstock is "used cooking oil"; did you mean used-cooking-oil? '
            "allowed: used-cooking-oil, soy, rapeseed, palm, tallow, other",
        ),
        (
            "rated_flow = 0.015",
            "rated_flow = 15",
            "tank.toml line 11: blower.rated_flow is 15; "
            "allowed: a number greater than 0 and at most 0.5 (m³/s through the fuel)",
        ),
        (
            "[blower]",
            "settled_drop = 4\n[blower]",
            "tank.toml line 10: fuel.settled_drop is 4; "
            "allowed: a number at least 5 and at most 100 (µm, a drop's diameter)",
        ),
        (
            "0.60 ",
            '"0.60"',
            'tank.toml line 5: tank.diameter is "0.60"; allowed: a number greater than 0'
            " and at most 10 (m, inside)",
        ),
        (
            "0.60 ",
            "true",
            "tank.toml line 5: tank.diameter is true; allowed: a number greater than 0"
            " and at most 10 (m, inside)",
        ),
        ("volume = 60", "volume = inf", "tank.toml line 13: room.volume is inf; allowed: a finite number"),
        (
            "volume = 60",
            "volume = 2026-09-12",
            "tank.toml line 13: room.volume is 2026-09-12; allowed: no date or time, here or anywhere",
        ),
        (
            'site = "boathouse"',
            'site = "The Boathouse"',
            'tank.toml line 1: site is "The Boathouse"; '
            'allowed: lower-case letters, digits and "-", not beginning with "-", at most 32',
        ),
        (
            "[blower]\nrated_flow = 0.015\n",
            "",
            "tank.toml: blower is missing; it needs rated_flow",
        ),
        (
            "[limits]",
            "longest_run = 60\n[limits]",
            "tank.toml line 15: room.longest_run is not a key here; it belongs in [blower]; "
            "allowed: volume, fresh_air, mixing_factor",
        ),
        (
            "[limits]",
            "[limit]",
            "tank.toml line 15: limit is not a key here; did you mean limits? allowed: site, folder, tank, "
            "broker, store, forward, notices, buzzer, serve, electricity, language, blower, fuel, limits, "
            "probes, relay, room",
        ),
        (
            'site = "boathouse"',
            'site = "boathouse"\nlanguage = "deutsch"',
            'tank.toml line 2: language is "deutsch"; allowed: en',
        ),
        (
            "vertical-cylinder",
            "cone-bottom",
            "tank.toml line 2: tank is not whole: shape 'cone-bottom' needs cone_height",
        ),
        (
            "standpipe = 0.152",
            "standpipe = 4.0",
            "tank.toml line 2: tank is not whole: standpipe is 4 m above the lowest point; "
            "allowed is less than the 0.9 m that the tank is high inside",
        ),
        (
            "[limits]",
            "[broker]\nhost = ''\n[limits]",
            'tank.toml line 16: broker.host is ""; allowed: the name or address of a computer',
        ),
        (
            '"fuel/temperature"',
            '"fuel/temprature"',
            'tank.toml line 18: probes."fuel/temprature" is not a reading; did you mean fuel/temperature? '
            f"allowed: {READINGS}",
        ),
        (
            "28-0000071c2a3b",
            "28-71C2A3B",
            'tank.toml line 18: probes."fuel/temperature".w1 is "28-71C2A3B"; '
            "allowed: 28- and the twelve digits, 0–9 and a–f, of the probe's own number",
        ),
        (
            "{ gpio = 17 }",
            "{ gpoi = 17 }",
            'tank.toml line 19: probes."blower/running" does not say how it is read; did you mean gpio? '
            f"allowed: one of the keys {KINDS}",
        ),
        (
            "{ gpio = 17 }",
            "{ gpio = 17, mqtt = 'b' }",
            f'tank.toml line 19: probes."blower/running" has the keys gpio and mqtt; allowed: one of {KINDS}',
        ),
        (
            "{ gpio = 17 }",
            "17",
            'tank.toml line 19: probes."blower/running" is not a table; '
            f"allowed: a table with one of the keys {KINDS}",
        ),
        (
            "{ gpio = 17 }",
            "{ gpio = 17.5, bounce = 9 }",
            'tank.toml line 19: probes."blower/running".bounce is 9; '
            "allowed: a number at least 0 and at most 5 (s)",
        ),
        (
            "address_file =",
            "adress_file =",
            "tank.toml line 21: notices.routes[1].adress_file is not a key here; did you mean address_file? "
            "allowed: name, address, address_file, least, quiet",
        ),
        (
            "phone.txt",
            "phone\\u0000.txt",
            "tank.toml line 21: notices.routes[1].address_file has a null character in it; "
            "allowed: text without",
        ),
        (
            "[limits]",
            "deep = [[[[[[[[1]]]]]]]]\n[limits]",
            "tank.toml line 15: room.deep[1][1][1][1][1][1] is nested too deeply; "
            "allowed: 8 tables or arrays inside each other",
        ),
        (
            "standpipe = 0.152\n",
            "standpipe = 0.152\n[tank.fuel]\n",
            "tank.toml line 8: tank.fuel stands twice, here and as [fuel]; allowed: once",
        ),
    ],
)
def test_a_fault_is_told_with_key_line_what_is_allowed_and_what_was_meant(
    old: str, new: str, told: str
) -> None:
    assert told in complaints(changed(old, new))


def test_all_faults_are_told_at_once_in_the_order_of_their_lines() -> None:
    text = changed("0.60 ", "-1", changed("feedstock =", "feedstok =", changed("0.5\n", '"much"\n')))
    lines = [line.split(":")[0] for line in complaints(text)]
    assert lines == ["tank.toml line 5", "tank.toml line 8", "tank.toml line 9", "tank.toml line 14"]


def test_faults_in_one_of_several_tanks_name_it() -> None:
    text = changed('"plover"', '"heron"', changed("rated_flow = 0.01\n", "", TWO_TANKS)) + "[room]\n"
    assert complaints(text) == [
        "tank.toml line 15: tank[2].name is 'heron', as another tank's is; "
        "allowed: a name of its own for each tank",
        "tank.toml line 21: tank[2].blower.rated_flow is missing; "
        "allowed: a number greater than 0 and at most 0.5 (m³/s through the fuel)",
        "tank.toml line 27: room stands outside; allowed: inside each [[tank]], as [tank.room]",
    ]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "tank.toml says nothing; start from a copy of deploy/boathouse.toml, and change that"),
        ('site = "boathouse"', "tank.toml: tank is missing; allowed: one [tank], or several [[tank]]"),
        ("tank = 5", "tank.toml line 1: tank is 5; allowed: an array of any length, each entry a table with"),
        ("tank = []", "tank.toml line 1: tank is an array of 0; allowed: an array of any length"),
        ("[[tank]]\n[[tank.fuel]]", "tank.toml line 2: tank[1].fuel is an array of 1; allowed: a table with"),
        ("site = boathouse", "tank.toml line 1: this is not TOML, at column 8: Invalid value"),
        (
            "[tank]\na = 1\na = 2\n",
            "tank.toml line 3: this is not TOML, at column 6: Cannot overwrite",
        ),
        ("site = 'x", "tank.toml: this is not TOML: "),
        ("a = " + "[" * 5000, "tank.toml: tables or arrays are nested too deeply; allowed: 8"),
        ("a." * 100_000 + "a = 1", "tank.toml line 1: a key of more than 32 parts; allowed: 3"),
        ("#\n[" + "'a' . " * 33 + "a]", "tank.toml line 2: a key of more than 32 parts; allowed: 3"),
        ("a = " + "9" * 5000, "tank.toml: this is not TOML: Exceeds the limit"),
    ],
)
def test_a_text_that_is_far_off_is_refused_all_the_same(text: str, told: str) -> None:
    assert any(line.startswith(told) for line in complaints(text)), complaints(text)


def test_a_thousand_faults_are_not_told_one_by_one() -> None:
    lines = complaints(BOATHOUSE + "".join(f"key{number} = 1\n" for number in range(1000)))
    assert len(lines) == 21
    assert lines[-1] == "tank.toml: and 480 or more faults like these"


def refusal(path: Path) -> str:
    with pytest.raises(UserError) as error:
        load(path)
    return str(error.value)


def test_a_file_is_loaded_and_named_in_its_faults(tmp_path: Path) -> None:
    path = tmp_path / "site.toml"
    path.write_text(BOATHOUSE, encoding="utf-8")
    assert load(path) == parse(BOATHOUSE, "site.toml")
    path.write_text(changed("height", "hight"), encoding="utf-8")
    assert refusal(path).startswith(f"{path} line 6: tank.hight is not a key here; did you mean height?")


def test_what_is_no_configuration_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "site.toml"
    assert refusal(path) == f"{path} cannot be read: No such file or directory"
    assert refusal(tmp_path) == f"{tmp_path} is a folder; allowed: a TOML file"
    path.write_bytes(b'site = "boathouse"\n# caf\xe9\n')
    assert refusal(path) == f"{path} line 2: this is not UTF-8; allowed: text saved as UTF-8"
    path.write_bytes(b"#" * 256_001)
    assert refusal(path) == f"{path} is too large; allowed: 256 kB"
    assert refusal(path / "below") == f"{path / 'below'} cannot be read: Not a directory"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "site.toml"
    path.touch(mode=0o000)
    assert refusal(path) == f"{path} cannot be read: Permission denied"


def test_a_drop_s_size_is_written_down_as_it_was_read() -> None:
    tank = heron(fuel={"feedstock": "soy", "settled_drop": 20})
    assert tank.fuel.settled_drop == 20e-6
    again = type(tank).model_validate(tank.model_dump(mode="json", exclude_none=True, exclude_defaults=True))
    assert again.fuel == tank.fuel


def is_site_or_sentences(text: str) -> None:
    try:
        site = parse(text, "tank.toml")
    except ConfigError as error:
        lines = str(error).splitlines()
        assert lines
        assert all(line.startswith("tank.toml") for line in lines)
    else:
        assert isinstance(site, Site)


@given(st.text())
def test_any_text_gives_a_site_or_sentences(text: str) -> None:
    is_site_or_sentences(text)


traps = ["'", '"', '"""', "\\", "nan", "1e400", "1979-05-27", "0x_", "[[1,2],[3,4]]", "{w1=[]}", "\\u0000"]
words = st.sampled_from(traps + re.findall(r"[^ \n]+|\n", BOATHOUSE + TWO_TANKS))


@settings(max_examples=500)
@given(st.lists(words, max_size=30).map(" ".join))
def test_any_heap_of_toml_gives_a_site_or_sentences(text: str) -> None:
    is_site_or_sentences(text)


@settings(max_examples=500)
@given(st.sampled_from([BOATHOUSE, TWO_TANKS]), st.integers(0, 2**32), st.lists(words, max_size=3))
def test_a_damaged_configuration_gives_a_site_or_sentences(text: str, seed: int, added: list[str]) -> None:
    dice = random.Random(seed)
    for word in added:
        begin = dice.randrange(len(text))
        text = text[:begin] + word + text[begin + dice.choice((0, 0, 1, 5, 40)) :]
    is_site_or_sentences(text)


def said_of(text: str) -> str:
    with pytest.raises(ConfigError) as refused:
        parse(text, "tank.toml")
    return str(refused.value)


def test_a_tank_of_a_wrong_size_is_refused_with_the_key_and_what_is_allowed() -> None:
    """Volume of a cylinder: π/4 · d² · h."""
    at = "diameter = 0.60 "
    assert at in BOATHOUSE
    far = said_of(BOATHOUSE.replace(at, "diameter = 60 "))
    assert "tank.diameter is 60; allowed: a number greater than 0 and at most 10 (m, inside)" in far
    litres = round(math.pi / 4 * 6.0**2 * 0.9 * 1000, -1)
    wide = said_of(BOATHOUSE.replace(at, "diameter = 6.0 "))
    assert f"diameter and height make a tank of {litres:.4g} L; allowed is 5 to 5000 L" in wide
    assert "make a tank of 0.2545 L" in said_of(
        BOATHOUSE.replace(at, "diameter = 0.006 ").replace("0.90", "9.0")
    )
    litres_for_cubic_metres = TWO_TANKS.replace("[[0, 0], [0.5, 0.15]]", "[[0, 0], [0.5, 150]]")
    assert "table make a tank of 1.5e+05 L; allowed is 5 to 5000 L" in said_of(litres_for_cubic_metres)


@pytest.mark.parametrize(
    "shape",
    [
        {"shape": "vertical-cylinder", "diameter": 0.6, "height": 0.9},
        {"shape": "cone-bottom", "diameter": 0.6, "height": 0.66, "cone_height": 0.25},
        {"shape": "horizontal-cylinder", "diameter": 0.5, "length": 0.8},
        {"shape": "table", "table": ((0.0, 0.0), (0.5, 0.15))},
    ],
)
def test_what_a_full_tank_holds_is_what_its_level_would_tell(shape: dict[str, Any]) -> None:
    """Against `fluids.geometry.TANK`, from which the level's table is made."""
    given = {**shape, "height": shape.get("height"), "diameter": shape.get("diameter")}
    tank = heron(**given)
    measures = {key: getattr(tank, key) for key in ("diameter", "height", "cone_height", "length", "table")}
    assert tank.full_volume == pytest.approx(of_shape(tank.shape, **measures).capacity, rel=1e-4)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("[[0, 0]]", "table has 1 point; a table needs two or more"),
        ("[[0, 0], [0.3, 0.1], [0.2, 0.15]]", "table's point 3 is [0.2, 0.15]; a table needs"),
        ("[[0, 0], [0.3, 0.1], [0.4, 0.1]]", "table's point 3 is [0.4, 0.1]; a table needs"),
        ("[[-0.1, 0], [0.3, 0.1]]", "table's point 1 is [-0.1, 0]; a table needs"),
    ],
)
def test_a_strapping_table_that_does_not_rise_is_refused_at_its_point(table: str, told: str) -> None:
    text = changed("table = [[0, 0], [0.5, 0.15]]", f"table = {table}", TWO_TANKS)
    said = "\n".join(complaints(text))
    assert told in said
    assert "each above the one before" in said
