"""The simulated tank as probes see it."""

import threading

import pytest

from drydown.probes.simulated import LiveTank, SimulatedProbe, scenario_of
from drydown.quantities import MEASURED
from drydown.simulate.batch import RATED_FLOW, heron
from support.probed_tank import tank_with


def test_all_probes_see_the_same_moment() -> None:
    tank = LiveTank(heron())
    assert tank.look(1000.0) is tank.look(1000.05)
    assert tank.look(1010.0).elapsed == pytest.approx(10.0)


def test_every_quantity_can_be_simulated() -> None:
    tank = LiveTank(heron())
    for name in MEASURED:
        reading = SimulatedProbe(name, tank).read(3.0)
        assert (reading.name, reading.time) == (name, 3.0)
        assert isinstance(reading.value, bool) is MEASURED[name].is_boolean


def test_it_follows_the_clock_whatever_its_pace() -> None:
    slow, fast = LiveTank(heron()), LiveTank(heron())
    for now in range(0, 3000, 10):
        slow.look(float(now))
    fast.look(0.0)
    slow_end, fast_end = slow.look(3000.0), fast.look(3000.0)
    assert slow_end.elapsed == fast_end.elapsed == pytest.approx(3000.0)
    assert slow_end.truth.methanol == pytest.approx(fast_end.truth.methanol, rel=1e-3)
    assert slow_end.truth.methanol < 0.9 * heron().start.methanol / (
        heron().start.methanol + heron().start.esters
    )  # it has bubbled for 20 minutes


def test_a_clock_that_stands_or_goes_back_harms_nothing() -> None:
    tank = LiveTank(heron())
    tank.look(100.0)
    assert tank.look(200.0).elapsed == pytest.approx(100.0)
    assert tank.look(150.0).elapsed == pytest.approx(100.0)


def test_threads_share_it() -> None:
    tank = LiveTank(heron())
    threads = [threading.Thread(target=lambda: [tank.look(now / 10) for now in range(200)]) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert tank.look(20.0).elapsed == pytest.approx(20.0, abs=0.2)


@pytest.mark.parametrize(
    ("shape", "litres"),
    [
        # share of the brim; volumes of cylinder, cone and lying cylinder by elementary geometry
        ({"shape": "vertical-cylinder", "diameter": 0.60, "height": 0.90}, 218.0),
        ({"shape": "cone-bottom", "diameter": 0.60, "height": 0.66, "cone_height": 0.25}, 180.0),
        ({"shape": "horizontal-cylinder", "diameter": 0.45, "length": 0.95}, 129.5),
    ],
)
def test_the_scenario_fits_the_configured_tank(shape: dict[str, object], litres: float) -> None:
    tank = tank_with({}).model_copy(update={"height": None, **shape})
    scenario = scenario_of(tank)
    moment = LiveTank(scenario).look(0.0)
    assert moment.truth.volume * 1000 == pytest.approx(litres, rel=0.01)
    assert scenario.tank.blower.flow == pytest.approx(0.0142, rel=0.01)
    assert tank.blower.rated_flow == RATED_FLOW


def test_a_tank_given_by_a_table_cannot_be_simulated() -> None:
    tank = tank_with({}).model_copy(update={"shape": "table", "table": ((0.0, 0.0), (1.0, 0.2))})
    with pytest.raises(ValueError, match="give its shape and size"):
        scenario_of(tank)
