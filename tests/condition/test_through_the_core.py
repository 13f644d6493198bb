"""A bad reading never reaches estimate or alarm, and always reaches the store with its reason."""

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus import intake, wire
from drydown.bus.spool import SERIES, Message
from drydown.core import Core
from drydown.effects import Conditioned
from drydown.quantities import MEASURED, ZERO_CELSIUS
from drydown.reading import Quality, Reading
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter
from support.faulty_day import tank

START = 1_789_200_000.0
LENGTH = 45  # s
SOUND: dict[str, float | bool] = {
    "fuel/temperature": 25 + ZERO_CELSIUS,
    "fuel/level": 0.6,
    "blower/running": True,
    "blower/discharge_temperature": 30 + ZERO_CELSIUS,
    "blower/motor_temperature": 45 + ZERO_CELSIUS,
    "air/temperature": 15 + ZERO_CELSIUS,
    "air/humidity": 0.6,
    "vent/open": True,
    "vapour/methanol": 0.0002,
}
wild = st.one_of(
    st.none(),
    st.booleans(),
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from([85 + ZERO_CELSIUS, 400.0, -1.0, 7.0, 0.0, 1.4]),
)
strays = st.builds(
    lambda name, second, late, value, quality: (second, Reading(name, START + second + late, value, quality)),
    st.sampled_from(sorted(SOUND)),
    st.integers(0, LENGTH - 1),
    st.sampled_from([0.0, 0.0, 0.0, 0.25, -30.0, 90.0]),
    wild,
    st.sampled_from([Quality.GOOD, Quality.GOOD, Quality.BAD]),
)


def play(drawn: list[tuple[int, Reading]]) -> list[Reading]:
    """A while of sound readings with strays among them; what the core says of each.

    Along the way nothing that alarms or estimate look at may come from a reading that is bad.
    """
    core, told, believed = Core(tank()), list[Reading](), {name: set[float | bool]() for name in MEASURED}
    for second in range(LENGTH):
        now = START + second
        sound = [Reading(name, now, value) for name, value in SOUND.items()]
        given = [reading for when, reading in drawn if when == second]
        strange = {reading.name for reading in given}
        given += [reading for reading in sound if reading.name not in strange]
        for effect in core.step(now, given, ()):
            if not isinstance(effect, Conditioned):
                continue
            told.append(effect.reading)
            if effect.reading.quality is not Quality.BAD and effect.reading.value is not None:
                believed[effect.reading.name].add(effect.reading.value)
        for name, value in core.scene.values.items():
            assert value in believed[name], f"{name}: {value} is what no believed reading said"
        sample = core.picture.sample()
        told_to_estimator: tuple[tuple[str, float | bool | None], ...] = (
            ("fuel/temperature", sample.fuel_temperature),
            ("blower/discharge_temperature", sample.discharge_temperature),
            ("air/temperature", sample.air_temperature),
            ("air/humidity", sample.air_humidity),
            ("blower/running", sample.running),
        )
        for name, told_value in told_to_estimator:
            assert told_value is None or told_value in believed[name]
    return told


@settings(max_examples=20)
@given(st.lists(strays, max_size=25))
def test_no_bad_value_is_looked_at_and_every_bad_reading_is_stored(drawn: list[tuple[int, Reading]]) -> None:
    told = play(drawn)
    stored = through_the_store(told)
    for reading in told:
        if reading.quality is Quality.BAD:
            assert reading.reason
            assert reading.reason in stored[reading.name], f"{reading} is not in the store"
    assert len({(reading.name, round(reading.time * 1000)) for reading in told}) == len(told)


def through_the_store(told: list[Reading]) -> dict[str, set[str]]:
    """The reasons that a store holds of each quantity, of readings that came to it through the broker."""
    with tempfile.TemporaryDirectory() as folder:
        writer = StoreWriter(Path(folder) / "store.sqlite3")
        body = wire.readings(told, float)
        message = Message("t", (body,), SERIES, False, 1, 1)
        pack = intake.pack(wire.payload(message, "boathouse/heron/"), "boathouse/heron/")
        writer.add_rows("heron", pack.rows)
        writer.add_judgements("heron", pack.judgements)
        writer.commit({"heron": 1})
        writer.close()
        with StoreReader(Path(folder) / "store.sqlite3") as reader:
            found: dict[str, set[str]] = {name: set() for name in MEASURED}
            for sample in reader.samples("heron", START - 1000, START + 1000, list(MEASURED)):
                found[sample.name].add(sample.reason or "")
    return found
