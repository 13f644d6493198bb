"""The picture of a run: a real simulated evening, drawn, and read again as XML."""

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from drydown.bus.recorded import read_run
from drydown.cli import main
from drydown.config.load import load
from drydown.config.model import Tank
from drydown.effects import AlarmChanged, Change, Conditioned, Effect, Estimated, Priority
from drydown.plot import look
from drydown.plot.page import draw
from drydown.reading import Quality, Reading
from drydown.replay import replay
from drydown.simulate.write import write_run
from drydown.texts import notices
from support.boathouse import heron

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Effect], Tank]:
    """A run with every probe that the simulator knows, through the core."""
    folder = tmp_path_factory.mktemp("runs")
    write_run(folder, "evening", 2, "discharge")
    tank = load(folder / "evening.toml").tank[0]
    return list(replay(tank, read_run(folder / "evening.senml", "boathouse/heron/"))), tank


def drawn(effects: list[Effect], tank: Tank | None = None) -> ET.Element:
    return ET.fromstring(draw(effects, tank or heron(), UTC))


def group(picture: ET.Element, name: str) -> ET.Element:
    found = picture.find(f"{SVG}g[@id='{name}']")
    assert found is not None
    return found


def of_class(element: ET.Element, kind: str) -> list[ET.Element]:
    return [item for item in element.iter() if item.get("class") == kind]


def texts(element: ET.Element) -> list[str]:
    return [item.text or "" for item in element.iter(f"{SVG}text")]


def places(picture: ET.Element) -> Iterator[tuple[float, float]]:
    """Every corner of what is drawn in the fields of the picture."""
    for item in picture.iter(f"{SVG}path"):
        for point in (item.get("d") or "").strip("MZ").split("L"):
            x, y = point.split()
            yield float(x), float(y)


def test_contents_stand_in_bands_against_their_limits(evening: tuple[list[Effect], Tank]) -> None:
    picture = drawn(*evening)
    for name, limit in (("methanol", "0.20 %"), ("water", "500 mg/kg"), ("room", "200 ppm")):
        field = group(picture, name)
        assert len(of_class(field, "band")) == 1
        assert len(of_class(field, "edge")) == 2
        assert of_class(field, "course")
        assert of_class(field, "limit")
        assert f"limit {limit}" in texts(field)


def test_it_says_what_it_is_and_its_cautions(evening: tuple[list[Effect], Tank]) -> None:
    picture = drawn(*evening)
    assert picture.get("role") == "img"
    title, described = picture.find(f"{SVG}title"), picture.find(f"{SVG}desc")
    assert title is not None
    assert described is not None
    assert title.text == "heron, 14 September 2026"
    assert notices.CAUTION in (described.text or "")
    said = " ".join(texts(picture))
    assert notices.CAUTION in said
    assert notices.CONFIRM in said
    assert "The vent is not watched" in said
    assert "90 % probability" in said


def test_axes_have_units_and_the_time_of_the_place(evening: tuple[list[Effect], Tank]) -> None:
    effects, tank = evening
    said = texts(drawn(effects, tank))
    assert {"°C", "time of day", "% by mass, logarithmic"} <= set(said)
    assert any(words.startswith("mg/kg") for words in said)
    oslo = ET.fromstring(draw(effects, tank, ZoneInfo("Europe/Oslo")))
    utc_axis, oslo_axis = (texts(group(picture, "time")) for picture in (drawn(effects, tank), oslo))
    assert "09:00" in utc_axis
    assert "11:00" in oslo_axis


def test_temperatures_are_told_apart_without_colours(evening: tuple[list[Effect], Tank]) -> None:
    field = group(drawn(*evening), "temperatures")
    courses = of_class(field, "course")
    assert len({course.get("stroke-dasharray") for course in courses}) == len(courses) == 3
    assert {"fuel", "room air", "from blower"} <= {said.rsplit(" ", 2)[0] for said in texts(field)}
    dashes = [pen.dashes for pen in look.TEMPERATURE_PENS.values()]
    assert len(set(dashes)) == len(dashes)


def test_rows_name_stage_blower_and_verdict(evening: tuple[list[Effect], Tank]) -> None:
    said = texts(group(drawn(*evening), "rows"))
    assert {"Stage", "Blower", "Verdict", "bubbling", "on", "drying"} <= set(said)


def test_the_same_effects_give_the_same_bytes(evening: tuple[list[Effect], Tank]) -> None:
    effects, tank = evening
    assert draw(effects, tank, UTC) == draw(list(effects), tank, UTC)


def test_nothing_leaves_the_paper_sideways(evening: tuple[list[Effect], Tank]) -> None:
    found = list(places(drawn(*evening)))
    assert len(found) > 500
    assert all(look.LEFT - 0.1 <= x <= look.RIGHT + 0.1 for x, _ in found)


def test_what_cannot_be_told_leaves_a_gap(evening: tuple[list[Effect], Tank]) -> None:
    effects, tank = evening
    beliefs = [effect.estimate.time for effect in effects if isinstance(effect, Estimated)]
    start, end = beliefs[len(beliefs) // 3], beliefs[len(beliefs) // 2]

    def blinded(effect: Effect) -> Effect:
        match effect:
            case Estimated(estimate=belief) if start <= belief.time <= end:
                return Estimated(replace(belief, methanol=None, water=None, water_floor=None))
            case Conditioned(reading=Reading(name="fuel/temperature", time=time)) if start <= time <= end:
                return Conditioned(Reading("fuel/temperature", time, None, Quality.BAD, "lost"))
        return effect

    whole, gappy = drawn(effects, tank), drawn([blinded(effect) for effect in effects], tank)
    for name in ("methanol", "water"):
        assert len(of_class(group(gappy, name), "band")) == len(of_class(group(whole, name), "band")) + 1
    more = len(of_class(group(gappy, "temperatures"), "course"))
    assert more == len(of_class(group(whole, "temperatures"), "course")) + 1


def test_a_long_silence_leaves_gaps_too(evening: tuple[list[Effect], Tank]) -> None:
    effects, tank = evening
    first = next(effect.reading.time for effect in effects if isinstance(effect, Conditioned))

    def time_of(effect: Effect) -> float:
        if isinstance(effect, Estimated):
            return effect.estimate.time
        return effect.time if hasattr(effect, "time") else effect.reading.time

    silent = [effect for effect in effects if not 3600 < time_of(effect) - first < 5400]
    picture = drawn(silent, tank)
    assert len(of_class(group(picture, "methanol"), "band")) == 2
    assert texts(group(picture, "rows")).count("cannot tell") >= 2  # blower and verdict


def test_alarms_are_marked_for_as_long_as_they_stood(evening: tuple[list[Effect], Tank]) -> None:
    effects, tank = evening
    first = next(effect.reading.time for effect in effects if isinstance(effect, Conditioned))
    about = {"temperature": 340.0, "limit": 333.15}
    story = [
        AlarmChanged(first + 3000, "fuel-hot", Priority.EMERGENCY, Change.RAISED, "value", about),
        AlarmChanged(first + 4200, "fuel-hot", Priority.EMERGENCY, Change.RETURNED, "value", about),
        AlarmChanged(first + 3001, "blower-overrun", Priority.HIGH, Change.RAISED, "value", {}),
    ]
    marks = group(drawn([*effects, *story], tank), "marks")
    said = texts(marks)
    assert "The fuel is too hot (emergency)" in said
    assert {"▲", "△"} <= set(said)
    words = [item for item in marks.iter(f"{SVG}text") if "(" in (item.text or "")]
    assert len({item.get("y") for item in words}) == len(words)  # none over another
    bars = [float(item.get("width") or 0) for item in marks.iter(f"{SVG}rect")]
    span = next(reversed([e.reading.time for e in effects if isinstance(e, Conditioned)])) - first
    assert any(bar == pytest.approx((look.RIGHT - look.LEFT) * 1200 / span, abs=0.2) for bar in bars)


def test_an_empty_run_is_drawn_and_says_so() -> None:
    picture = drawn([])
    assert "Nothing was recorded." in texts(picture)
    assert notices.CAUTION in " ".join(texts(picture))
    assert list(places(picture)) == []


def test_a_single_reading_is_a_run_too() -> None:
    reading = Reading("fuel/temperature", 1_789_200_000.0, 298.15)
    picture = drawn([Conditioned(reading)])
    assert "fuel 25 °C" in texts(group(picture, "temperatures"))


def test_it_is_drawn_beside_the_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_run(tmp_path, "run", 1, "basic")
    run, config, picture = tmp_path / "run.senml", tmp_path / "run.toml", tmp_path / "run.svg"
    assert main(["replay", str(run), "--config", str(config), "--plot", str(picture)]) == 0
    assert "Run of heron" in capsys.readouterr().out
    assert ET.parse(picture).getroot().tag == f"{SVG}svg"


def test_a_picture_that_cannot_be_written_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_run(tmp_path, "run", 1, "basic")
    run, config, picture = tmp_path / "run.senml", tmp_path / "run.toml", tmp_path / "nowhere" / "run.svg"
    assert main(["replay", str(run), "--config", str(config), "--plot", str(picture)]) == 2
    said = capsys.readouterr().err
    assert said == (
        f"{picture} cannot be written (No such file or directory): "
        "name a file in a folder that may be written\n"
    )


def test_another_ending_is_refused_with_what_is_allowed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["replay", "run.senml", "--plot", str(tmp_path / "run.pdf")])
    assert left.value.code == 2
    assert "a name that ends in .svg" in capsys.readouterr().err
