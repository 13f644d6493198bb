"""Estimates as lines, read from the store all at once."""

import tempfile
from collections.abc import Mapping
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from drydown.bus.intake import Row
from drydown.store.lines import recorded_estimates, recorded_lines
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter

START = 1_789_200_000  # Unix s
WHOLE: dict[str, float | bool | str | None] = {
    "methanol": 0.004,
    "methanol/low": 0.003,
    "methanol/high": 0.005,
    "run_time": 600.0,
    "methanol_done": False,
    "verdict": "drying",
}


def _rows(second: float, told: Mapping[str, float | bool | str | None]) -> list[Row]:
    kinds = {bool: "boolean", str: "text"}
    return [
        (
            f"estimate/{name}",
            None,
            kinds.get(type(value), "number"),
            round((START + second) * 1000),
            None if isinstance(value, str) else value,
            value if isinstance(value, str) else None,
        )
        for name, value in told.items()
    ]


def _written(folder: Path, rows: list[Row]) -> Path:
    path = folder / "drydown.sqlite3"
    writer = StoreWriter(path)
    assert writer.add_rows("heron", rows) == []
    writer.commit({})
    writer.close()
    return path


def test_only_whole_estimates_are_told_and_as_everything_tells_them(tmp_path: Path) -> None:
    without_verdict = {name: value for name, value in WHOLE.items() if name != "verdict"}
    rows = [
        *_rows(0, WHOLE),
        *_rows(60, without_verdict),
        *_rows(120, WHOLE | {"methanol/low": None}),
        *_rows(180, WHOLE | {"methanol_done": True, "verdict": "dry"}),
        ("fuel/temperature", "Cel", "number", START * 1000, 33.5, None),
    ]
    with StoreReader(_written(tmp_path, rows)) as reader:
        alone = recorded_estimates(reader, "heron", START, START + 1000)
        among = [line for line in recorded_lines(reader, "heron", START, START + 1000) if "verdict" in line]
        later = recorded_estimates(reader, "heron", START + 1, START + 1000)
    assert [(line["time"] - START, line["methanol_done"], line["verdict"]) for line in alone] == [
        (0, False, "drying"),
        (180, True, "dry"),
    ]
    assert alone[0]["methanol"] == {"median": 0.004, "low": 0.003, "high": 0.005}
    assert alone == among
    assert later == alone[1:]


@given(
    st.dictionaries(
        st.sampled_from(["a", "b", "c"]),
        st.none()
        | st.booleans()
        | st.text(st.characters(codec="utf-8"), max_size=9)
        | st.floats(-1e12, 1e12),
    )
)
def test_what_was_told_at_once_comes_back_with_fifteen_digits(
    told: dict[str, float | bool | str | None],
) -> None:
    rows = _rows(0, told)
    with tempfile.TemporaryDirectory() as folder, StoreReader(_written(Path(folder), rows)) as reader:
        found = dict(reader.together("heron", [row[0] for row in rows], START, START))
    shown = {
        f"estimate/{name}": float(f"{value:.15g}") if isinstance(value, float) else value
        for name, value in told.items()
    }
    assert found == ({START: shown} if told else {})
