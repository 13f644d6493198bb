"""SenML against the examples and rules of RFC 8428 (https://www.rfc-editor.org/rfc/rfc8428), by section."""

import json
import math
from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest

from drydown.bus.senml import Record, SenmlError, pack, resolve
from drydown.bus.senml_json import decode, decode_stream, encode

NOW = 1789200000.0
SENSOR = "urn:dev:ow:10e2073a01080063"

SECTION_2_PLAIN = b"""[
  {"n":"urn:dev:ow:10e2073a01080063","u":"Cel","t":1.276020076e+09,"v":23.5},
  {"n":"urn:dev:ow:10e2073a01080063","u":"Cel","t":1.276020091e+09,"v":23.6}
]"""

SECTION_2_SHORT = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063","u":"Cel","t":1.276020076e+09,"v":23.5},
  {"u":"Cel","t":1.276020091e+09,"v":23.6}
]"""

SECTION_5_1_1 = b"""[
  {"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}
]"""

SECTION_5_1_2_NOW = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},
  {"n":"current","u":"A","v":1.2}
]"""

SECTION_5_1_2_SECONDS = b"""[
  {"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},
  {"n":"current","t":-5,"v":1.2},
  {"n":"current","t":-4,"v":1.3},
  {"n":"current","t":-3,"v":1.4},
  {"n":"current","t":-2,"v":1.5},
  {"n":"current","t":-1,"v":1.6},
  {"n":"current","v":1.7}
]"""

SECTION_5_1_2_STREAM = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":21.2},
  {"t":10,"v":21.3},
  {"t":20,"v":21.4},
  {"t":30,"v":21.4},
  {"t":40,"v":21.5},
  {"t":50,"v":21.5},
  {"t":60,"v":21.5},
  {"t":70,"v":21.6},
  {"t":80,"v":21.7},
"""

SECTION_5_1_3 = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},
  {"u":"lon","v":24.30621},
  {"u":"lat","v":60.07965},
  {"t":60,"v":20.3},
  {"u":"lon","t":60,"v":24.30622},
  {"u":"lat","t":60,"v":60.07965},
  {"t":120,"v":20.7},
  {"u":"lon","t":120,"v":24.30623},
  {"u":"lat","t":120,"v":60.07966},
  {"u":"%EL","t":150,"v":98},
  {"t":180,"v":21.2},
  {"u":"lon","t":180,"v":24.30628},
  {"u":"lat","t":180,"v":60.07967}
]"""

SECTION_5_1_4 = b"""[
  {"n":"urn:dev:ow:10e2073a01080063","u":"%RH","t":1.320067464e+09,"v":20},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lon","t":1.320067464e+09,"v":24.30621},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lat","t":1.320067464e+09,"v":60.07965},
  {"n":"urn:dev:ow:10e2073a01080063","u":"%RH","t":1.320067524e+09,"v":20.3},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lon","t":1.320067524e+09,"v":24.30622},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lat","t":1.320067524e+09,"v":60.07965},
  {"n":"urn:dev:ow:10e2073a01080063","u":"%RH","t":1.320067584e+09,"v":20.7},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lon","t":1.320067584e+09,"v":24.30623},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lat","t":1.320067584e+09,"v":60.07966},
  {"n":"urn:dev:ow:10e2073a01080063","u":"%EL","t":1.320067614e+09,"v":98},
  {"n":"urn:dev:ow:10e2073a01080063","u":"%RH","t":1.320067644e+09,"v":21.2},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lon","t":1.320067644e+09,"v":24.30628},
  {"n":"urn:dev:ow:10e2073a01080063","u":"lat","t":1.320067644e+09,"v":60.07967}
]"""

SECTION_5_1_5 = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
  {"n":"label","vs":"Machine Room"},
  {"n":"open","vb":false},
  {"n":"nfv-reader","vd":"aGkgCg"}
]"""

SECTION_5_1_6 = b"""[
  {"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},
  {"n":"humidity","u":"%RH","v":30},
  {"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},
  {"n":"humidity","u":"%RH","v":67}
]"""

SECTION_5_1_7_THERMOSTAT = b"""[
  {"bn":"urn:dev:ow:10e2073a01080063:"},
  {"n":"temp","u":"Cel","v":23.1},
  {"n":"heat","u":"/","v":1},
  {"n":"fan","u":"/","v":0}
]"""

SECTION_5_1_7_DIMMED = b"""[
  {"bt":1.320078429e+09,"bu":"/","n":"2001:db8::3","v":0.5},
  {"n":"2001:db8::4","v":0.5},
  {"n":"2001:db8::3","t":0.1,"v":0},
  {"n":"2001:db8::4","t":0.1,"v":0}
]"""

SECTION_7_XML = """<sensml xmlns="urn:ietf:params:xml:ns:senml">
  <senml bn="urn:dev:ow:10e2073a0108006:" bt="1.276020076001e+09"
  bu="A" bver="5" n="voltage" u="V" v="120.1"></senml>
  <senml n="current" t="-5" v="1.2"></senml>
  <senml n="current" t="-4" v="1.3"></senml>
  <senml n="current" t="-3" v="1.4"></senml>
  <senml n="current" t="-2" v="1.5"></senml>
  <senml n="current" t="-1" v="1.6"></senml>
  <senml n="current" v="1.7"></senml>
</sensml>"""


def test_section_2_the_short_form_says_the_same() -> None:
    records = decode(SECTION_2_PLAIN, NOW)
    assert records == [Record(SENSOR, 1276020076.0, 23.5, "Cel"), Record(SENSOR, 1276020091.0, 23.6, "Cel")]
    assert decode(SECTION_2_SHORT, NOW) == records


def test_section_5_1_1_without_a_time_it_is_now() -> None:
    assert decode(SECTION_5_1_1, NOW) == [Record(SENSOR, NOW, 23.1, "Cel")]


def test_section_5_1_2_several_now() -> None:
    assert decode(SECTION_5_1_2_NOW, NOW) == [
        Record(f"{SENSOR}:voltage", NOW, 120.1, "V"),
        Record(f"{SENSOR}:current", NOW, 1.2, "A"),
    ]


def test_section_5_1_2_each_second_of_the_previous_five_with_an_earlier_version() -> None:
    # "current at Tue Jun 8 18:01:16.001 UTC 2010 and at each second for the previous 5 seconds"
    end = datetime(2010, 6, 8, 18, 1, 16, 1000, tzinfo=UTC).timestamp()
    records = list(resolve(json.loads(SECTION_5_1_2_SECONDS), NOW))
    currents = [record for record in records if record.name.endswith(":current")]
    assert [record.time for record in currents] == [end - 5, end - 4, end - 3, end - 2, end - 1, end]
    assert [record.value for record in currents] == [1.2, 1.3, 1.4, 1.5, 1.6, 1.7]
    assert {record.unit for record in currents} == {"A"}
    assert records[0] == Record("urn:dev:ow:10e2073a0108006:voltage", end, 120.1, "V")


def test_section_7_the_xml_form_of_5_1_2_holds_the_same() -> None:
    # Read here by another route: the arithmetic of section 4 on the attributes of section 7.
    expected = []
    base: dict[str, str] = {}
    for element in ElementTree.fromstring(SECTION_7_XML):
        base |= {label: element.attrib[label] for label in ("bn", "bt", "bu") if label in element.attrib}
        field = element.attrib
        time = float(base.get("bt", "0")) + float(field.get("t", "0"))
        name, unit = base.get("bn", "") + field["n"], field.get("u", base.get("bu"))
        expected.append(Record(name, time, float(field["v"]), unit))
    assert list(resolve(json.loads(SECTION_5_1_2_SECONDS), NOW)) == expected


@pytest.mark.parametrize(
    "stream", [SECTION_5_1_2_STREAM, SECTION_5_1_2_STREAM + b"]", SECTION_5_1_2_STREAM[2:]]
)
def test_section_5_1_2_a_stream_that_goes_on(stream: bytes) -> None:
    records = list(decode_stream(stream.splitlines(), NOW))
    assert [record.time - 1320067464 for record in records] == [0, 10, 20, 30, 40, 50, 60, 70, 80]
    assert [record.value for record in records] == [21.2, 21.3, 21.4, 21.4, 21.5, 21.5, 21.5, 21.6, 21.7]
    assert {(record.name, record.unit) for record in records} == {(SENSOR, "%RH")}


def test_section_5_1_4_is_what_5_1_3_resolves_to() -> None:
    resolved = decode(SECTION_5_1_3, NOW)
    assert len(resolved) == 13
    assert resolved == decode(SECTION_5_1_4, math.nan)
    # "Mon Oct 31 13:24:24 UTC 2011"
    assert resolved[0].time == datetime(2011, 10, 31, 13, 24, 24, tzinfo=UTC).timestamp()


def test_section_5_1_5_every_type_of_value() -> None:
    records = decode(SECTION_5_1_5, NOW)
    assert [(record.name.removeprefix(f"{SENSOR}:"), record.value) for record in records] == [
        ("temp", 23.1),
        ("label", "Machine Room"),
        ("open", False),
        ("nfv-reader", b"hi \n"),
    ]


def test_section_5_1_6_the_last_record_has_the_third_base_name_and_the_first_base_time() -> None:
    # "Mon Oct 31 16:27:09 UTC 2011"
    time = datetime(2011, 10, 31, 16, 27, 9, tzinfo=UTC).timestamp()
    assert decode(SECTION_5_1_6, NOW) == [
        Record("2001:db8::2/temperature", time, 25.2, "Cel"),
        Record("2001:db8::2/humidity", time, 30.0, "%RH"),
        Record("2001:db8::1/temperature", time, 12.3, "Cel"),
        Record("2001:db8::1/humidity", time, 67.0, "%RH"),
    ]


def test_section_5_1_7_a_record_of_base_values_alone_measures_nothing() -> None:
    assert decode(SECTION_5_1_7_THERMOSTAT, NOW) == [
        Record(f"{SENSOR}:temp", NOW, 23.1, "Cel"),
        Record(f"{SENSOR}:heat", NOW, 1.0, "/"),
        Record(f"{SENSOR}:fan", NOW, 0.0, "/"),
    ]


def test_section_5_1_7_two_lights_dimmed_and_100_ms_later_off() -> None:
    assert [(record.name[-1], record.time, record.value) for record in decode(SECTION_5_1_7_DIMMED, NOW)] == [
        ("3", 1320078429.0, 0.5),
        ("4", 1320078429.0, 0.5),
        ("3", 1320078429.1, 0.0),
        ("4", 1320078429.1, 0.0),
    ]


@pytest.mark.parametrize(
    "example",
    [
        SECTION_2_PLAIN,
        SECTION_5_1_1,
        SECTION_5_1_2_NOW,
        SECTION_5_1_2_SECONDS,
        SECTION_5_1_3,
        SECTION_5_1_5,
        SECTION_5_1_6,
        SECTION_5_1_7_THERMOSTAT,
        SECTION_5_1_7_DIMMED,
    ],
)
def test_every_example_can_be_written_again(example: bytes) -> None:
    records = decode(example, NOW)
    assert decode(encode(records), math.nan) == records
    assert list(resolve(pack(records), math.nan)) == records
    base_labels = {label for fields in pack(records) for label in fields if label.startswith("b")}
    assert base_labels <= {"bn", "bt"}  # section 4.6: no version where it is this one


@pytest.mark.parametrize(
    ("bt", "t", "expected"),
    [
        (None, None, NOW),
        (None, -5, NOW - 5),  # "A negative value indicates seconds in the past from roughly now"
        (None, 60, NOW + 60),
        (100, 20, NOW + 120),
        (None, 2**28 - 1, NOW + 2**28 - 1),
        (None, 2**28, 2.0**28),
        (2**28, -1, NOW + 2**28 - 1),  # the sum decides
        (2**28 - 60, 60, 2.0**28),
        (1.3e9, -1.3e9, NOW),
    ],
)
def test_section_4_5_3_times_below_2_to_28_are_relative_to_now(
    bt: float | None, t: float | None, expected: float
) -> None:
    fields = {"n": "a", "v": 1} | ({} if bt is None else {"bt": bt}) | ({} if t is None else {"t": t})
    (record,) = resolve([fields], NOW)
    assert record.time == expected


def test_section_4_5_3_the_smallest_absolute_time() -> None:
    # "the smallest absolute Time value that can be expressed (2**28) is 1978-07-04 21:24:16 UTC"
    (record,) = resolve([{"n": "a", "v": 1, "t": 268435456}], NOW)
    assert datetime.fromtimestamp(record.time, UTC) == datetime(1978, 7, 4, 21, 24, 16, tzinfo=UTC)


@pytest.mark.parametrize(
    ("fields", "value", "total"),
    [
        ({"v": 1}, 1.0, None),
        ({"s": 5}, None, 5.0),
        ({"v": 1, "s": 5}, 1.0, 5.0),
        ({"bv": 20, "v": 1}, 21.0, None),
        ({"bv": 20, "t": 0}, 20.0, None),  # "the missing field(s) is considered to have a value of zero"
        ({"bs": 100, "v": 1}, 1.0, 100.0),
        ({"bs": 100, "s": 5}, None, 105.0),
        ({"bs": 100, "vs": "on"}, "on", 100.0),
        ({"bv": 20, "vb": True}, True, None),
    ],
)
def test_section_4_5_4_base_values_and_base_sums(
    fields: dict[str, object], value: object, total: float | None
) -> None:
    (record,) = resolve([{"n": "a"} | fields], NOW)
    assert (record.value, record.sum) == (value, total)


def test_section_4_base_fields_hold_until_the_next_of_the_same_kind() -> None:
    records = resolve(
        [
            {"bn": "a/", "bt": 2e9, "bu": "m", "bv": 1, "bs": 2, "n": "x", "v": 1, "s": 1},
            {"n": "y", "v": 2, "u": "s"},
            {"bn": "b/", "bv": 0, "n": "x", "v": 3},
            {"bt": 3e9, "bu": "V", "bs": 0, "n": "x", "v": 4, "ut": 60},
        ],
        NOW,
    )
    assert list(records) == [
        Record("a/x", 2e9, 2.0, "m", 3.0),
        Record("a/y", 2e9, 3.0, "s", 2.0),
        Record("b/x", 2e9, 3.0, "m", 2.0),
        Record("b/x", 3e9, 4.0, "V", 0.0, 60.0),
    ]


def test_section_4_4_unknown_fields_are_ignored_unless_they_must_be_understood() -> None:
    (record,) = resolve([{"n": "a", "v": 1, "colour": "red", "bx": [1], "x_y": None}], NOW)
    assert record == Record("a", NOW, 1.0)
    with pytest.raises(SenmlError, match="record 1: 'colour_' is not known, and its last _ says"):
        list(resolve([{"n": "a", "v": 1, "colour_": "red"}], NOW))


@pytest.mark.parametrize(
    ("versions", "told"),
    [
        ([11], "record 1: bver is 11; allowed is a whole number from 1 to 10"),
        ([0], "record 1: bver is 0; allowed is"),
        ([5.5], "record 1: bver is 5.5; allowed is"),
        (["10"], "record 1: bver is '10'; allowed is"),
        ([True], "record 1: bver is true; allowed is"),
        ([None, 5], "record 2: bver is 5 after 10; all records have the same version"),
        ([5, 10], "record 2: bver is 10 after 5; all records have the same version"),
        ([5, None, 5, 10], "record 4: bver is 10 after 5"),
    ],
)
def test_section_4_4_versions_that_are_refused(versions: list[object], told: str) -> None:
    records = [{"n": "a", "v": 1} | ({} if version is None else {"bver": version}) for version in versions]
    with pytest.raises(SenmlError) as error:
        list(resolve(records, NOW))
    assert told in str(error.value)


@pytest.mark.parametrize("versions", [[1], [10], [None, 10], [5, None], [5, 5]])
def test_section_4_4_versions_that_are_understood(versions: list[int | None]) -> None:
    records = [{"n": "a", "v": 1} | ({} if version is None else {"bver": version}) for version in versions]
    assert len(list(resolve(records, NOW))) == len(versions)


@pytest.mark.parametrize("name", ["a", "9", "Z-:./_", "boathouse/heron/fuel/temperature", "a" * 255])
def test_section_4_5_1_names_that_are_allowed(name: str) -> None:
    assert next(resolve([{"n": name, "v": 1}], NOW)).name == name
    assert next(resolve([{"bn": name, "v": 1}], NOW)).name == name


@pytest.mark.parametrize("name", ["", "-a", "/a", ":a", ".a", "_a", "a b", "a\n", "é", "a#", "a%", "a" * 256])
def test_section_4_5_1_names_that_are_refused(name: str) -> None:
    with pytest.raises(SenmlError, match=r"record 1: (the name bn \+ n is|it has no name|n has 256)"):
        list(resolve([{"n": name, "v": 1}], NOW))


def test_section_4_6_resolved_records_are_in_order_of_their_times() -> None:
    records = decode(b'[{"n":"a","t":2e9,"v":1},{"n":"b","t":1e9,"v":2},{"n":"c","t":2e9,"v":3}]', NOW)
    assert [record.name for record in records] == ["b", "a", "c"]


@pytest.mark.parametrize(
    "number", ["1.7976931348623157e308", "-1.7976931348623157e308", "5e-324", "-0.0", "1E2"]
)
def test_section_5_the_whole_range_of_double_precision(number: str) -> None:
    (record,) = decode(b'[{"n":"a","v":%b,"t":2e9}]' % number.encode(), NOW)
    assert record.value == float(number)
    assert decode(encode([record]), NOW) == [record]
