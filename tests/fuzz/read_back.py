"""Reads a store in every way in which drydown reads one; what is in it may be anything that was sent."""

from pathlib import Path

from drydown.bus.senml_json import encode_stream
from drydown.core import Core
from drydown.forward.source import Source
from drydown.store.draws import recorded_draws
from drydown.store.export import columns, csv_rows, records_of_samples
from drydown.store.lessons import kept_lesson
from drydown.store.lines import recorded_estimates, recorded_lines
from drydown.store.read import StoreReader
from drydown.store.reports import stored_report
from drydown.store.reviews import review
from drydown.watch.rebuild import rebuild
from support.boathouse import heron

SITE, TANK = "boathouse", "heron"
FIRST, LAST = -1e11, 1e11  # Unix s
RUNS = 20
NOW = 1_789_209_000.0  # Unix s, at the end of what the seeds tell


def read_back(path: Path) -> None:
    """Raises whatever one of the readers stumbles over."""
    with StoreReader(path) as reader:
        for tank in reader.tanks()[:5]:
            reader.latest(tank)
            for name in reader.names(tank)[:50]:
                reader.series(tank, name, FIRST, LAST, 100)
                reader.turns(tank, name, FIRST, LAST)
            reader.doubted(tank, FIRST, LAST)
            reader.unsure(tank, FIRST, LAST)
            reader.hour_meter(tank)
        reader.events(TANK, FIRST, LAST)
        reader.entries(TANK, FIRST, LAST)
        recorded_draws(reader, TANK)
        kept_lesson(reader, TANK, LAST)
        list(recorded_lines(reader, TANK, FIRST, LAST))
        recorded_estimates(reader, TANK, FIRST, LAST)
        chosen = columns(reader, TANK, ())
        list(csv_rows(reader.samples(TANK, NOW - 86_400, NOW), chosen))
        own = list(
            reader.samples(TANK, NOW - 86_400, NOW, ["fuel/temperature", "blower/running", "fuel/level"])
        )
        list(encode_stream(records_of_samples(own, f"{SITE}/{TANK}/"), f"{SITE}/{TANK}/"))
        for run in reader.runs(TANK, RUNS):
            review(reader, run)
            stored_report(reader, run, NOW)
    list(rebuild(Core(heron()), path, NOW, float, NOW))
    source = Source(path, SITE)
    source.take(source.everything(), 10_000)
    source.close()
