"""Lines of keys, against texts whose lines are counted here and against `tomllib`'s own reading."""

import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.config.positions import line_of, lines_of

EXAMPLE = '''\
# a comment with [brackets] and key = 1
site = "boathouse"   # [tank]

[fuel]
"feedstock" = "soy # not a comment"
'methanol_limit'=0.002
long = """
[not_a_table]
key = 1 \\""" still inside
"""
water . "limit"  . deep = 1
[[tank]]
name = "heron"
table = [
  [0.0, 0.0],  # first
  [0.5,
   0.1], ]
[tank.probes]
"fuel/temperature" = { w1 = "28-0000071c2a3b" }
"air/humidity" = { hwmon = "sht3x", "channel" = "humidity1", gain = { a.b = [1, {c=2}] } }
[ [tank] ]
name = \'\'\'
[[tank]]
\'\'\'
[ tank . probes ]
"vent\\u002fopen".gpio = 4
[tank.fuel]
feedstock = 'soy'
'''.replace("[ [tank] ]", "[[ tank ]]")


def test_every_way_to_write_a_key_has_its_line() -> None:
    tomllib.loads(EXAMPLE)
    lines = lines_of(EXAMPLE)
    expected = {
        ("site",): 2,
        ("fuel",): 4,
        ("fuel", "feedstock"): 5,
        ("fuel", "methanol_limit"): 6,
        ("fuel", "long"): 7,
        ("fuel", "water"): 11,
        ("fuel", "water", "limit", "deep"): 11,
        ("tank",): 12,
        ("tank", 0): 12,
        ("tank", 0, "name"): 13,
        ("tank", 0, "table"): 14,
        ("tank", 0, "table", 0): 15,
        ("tank", 0, "table", 1): 16,
        ("tank", 0, "table", 1, 1): 17,
        ("tank", 0, "probes", "fuel/temperature", "w1"): 19,
        ("tank", 0, "probes", "air/humidity", "gain", "a", "b", 1, "c"): 20,
        ("tank", 1): 21,
        ("tank", 1, "name"): 22,
        ("tank", 1, "probes"): 25,
        ("tank", 1, "probes", "vent/open", "gpio"): 26,
        ("tank", 1, "fuel", "feedstock"): 28,
    }
    assert {path: lines.get(path) for path in expected} == expected
    assert not any("not_a_table" in path or "key" in path for path in lines)


def test_what_has_no_line_takes_that_of_what_is_around_it() -> None:
    lines = lines_of("\n[fuel]\nfeedstock = 'soy'\n")
    assert line_of(lines, ("fuel", "water_limit")) == 2
    assert line_of(lines, ("blower",)) is None


def paths_of(value: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every path of a TOML document as `tomllib` reads it."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {path} | {p for key, child in inner for p in paths_of(child, (*path, key))}


keys = st.sampled_from(["a", "b", "'a.b'", '"c d"', "a.b", 'b . "x#"', "1-2_3"])
scalars = st.sampled_from(
    [
        "1",
        "-1.5e3",
        "true",
        '"a # [b]"',
        "'\"'",
        '"""\nx = 1\n[y]\n"""',
        "'''\n]}'''",
        '"""a\\""""""',
        '""""q""""',
        "1979-05-27 07:32:00",
        "0xff",
        "inf",
    ]
)
values = st.recursive(
    scalars,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda parts: "[\n" + " , # ,]\n".join(parts) + "\n]"),
        st.lists(st.tuples(keys, inner.filter(lambda text: "#" not in text)), max_size=2).map(
            lambda pairs: "{" + ", ".join(f"{key}={value}" for key, value in pairs) + "}"
        ),
    ),
    max_leaves=5,
)
statements = st.one_of(
    st.tuples(keys, values).map(lambda pair: f"{pair[0]} = {pair[1]}"),
    keys.map("[{}]".format),
    keys.map("[[ {} ]] # x".format),
    st.sampled_from(["", "# a = [", "\t# '''"]),
)


@settings(max_examples=500)
@given(st.lists(statements, max_size=8).map("\n".join))
def test_every_path_that_tomllib_reads_has_a_line_on_which_it_stands(text: str) -> None:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = lines_of(text)
    assert set(lines) == paths_of(document) - {()}
    written = text.split("\n")
    for path, line in lines.items():
        if isinstance(path[-1], str):
            assert path[-1] in written[line - 1]
