"""What a slope is worth (blind to what a run lets go and to a peak, not to what stays), and of what."""

import math

import pytest

from soak.stay import CYCLE, DAY, LOOKS, allocation, slope

CYCLES = 3


def looks(kept_a_day: float) -> list[int]:
    """A process that holds up to 8 MB of a run, lets it go at its end, and keeps a little for ever."""
    held = [round(8e6 * math.sin(math.pi * phase / LOOKS)) for phase in range(LOOKS)] * CYCLES
    return [60_000_000 + one + round(kept_a_day * at * CYCLE / LOOKS / DAY) for at, one in enumerate(held)]


@pytest.mark.parametrize("kept_a_day", [0.0, 1e6, -3e5])
def test_what_a_run_holds_and_lets_go_is_no_growth(kept_a_day: float) -> None:
    assert slope(looks(kept_a_day)) == pytest.approx(kept_a_day, abs=1000.0)


def test_a_peak_moves_it_little(  # such as thirty looks at which much was asked
) -> None:
    sizes = looks(1e6)
    sizes[50:80] = [size + 20_000_000 for size in sizes[50:80]]
    assert slope(sizes) == pytest.approx(1e6, abs=2e4)


@pytest.mark.parametrize("name", ["watch", "record", "serve"])
def test_a_process_keeps_its_memory_as_its_unit_says(name: str) -> None:
    assert set(allocation(name)) == {
        "MALLOC_ARENA_MAX",
        "MALLOC_MMAP_THRESHOLD_",
        "MALLOC_TRIM_THRESHOLD_",
    }
