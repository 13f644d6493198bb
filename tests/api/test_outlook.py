"""The day ahead where the air is not known: what is said, from a real store that holds nothing of it."""

from pathlib import Path

import pytest

from drydown.config.load import load
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter
from drydown_api.outlook import by_record
from support.air_days import DAY, write_air
from support.site_file import write_site

NOW = 1_795_700_000.0  # Unix s
PROBES = ("air/temperature", "air/humidity")


@pytest.mark.parametrize(
    ("probes", "days", "said"),
    [
        ((), 0.0, "No probes read the temperature and the humidity of the air here"),
        (PROBES[:1], 0.0, "No probes read"),
        (PROBES, 0.8, "The record of the air does not hold a whole day yet"),
    ],
)
def test_what_is_missing_is_told(tmp_path: Path, probes: tuple[str, ...], days: float, said: str) -> None:
    site = load(write_site(tmp_path, "boathouse", ["heron"], 1, probes))
    site.store_path.parent.mkdir(parents=True)
    StoreWriter(site.store_path).close()
    write_air(site.store_path, NOW - DAY * 0.01, days)
    with StoreReader(site.store_path) as reader:
        found = by_record(site, site.tank[0], {"time": NOW}, reader)
    assert (found.foreseen, found.line) == (None, None)
    assert found.why.startswith(said)
