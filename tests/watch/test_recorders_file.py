"""Who records, and where the numbers ended, outlive the watcher."""

from pathlib import Path

import pytest

from drydown.watch.recorders_file import RecordersFile


def test_what_was_known_is_known_again(tmp_path: Path) -> None:
    path = tmp_path / "recorders-heron.json"
    file = RecordersFile(path)
    assert (file.silent_hours, file.ended_at) == ({}, 0)
    file.look({"store": 0})
    file.close({"store": 0, "second": 7}, 57)
    again = RecordersFile(path)
    assert (again.silent_hours, again.ended_at) == ({"store": 0, "second": 7}, 57)
    again.look({"store": 0})
    assert again.ended_at == 0  # it is at work: where it will end is not known
    again._file.close()
    assert RecordersFile(path).ended_at == 0


@pytest.mark.parametrize("line", ["", "[]", "{}", '{"silent_hours":{"store":-1},"ended_at":1}', "7"])
def test_what_cannot_be_understood_is_told_of_and_left(
    tmp_path: Path, line: str, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "recorders-heron.json"
    path.write_text(line)
    file = RecordersFile(path)
    assert (file.silent_hours, file.ended_at) == ({}, 0)
    assert "may miss what another one has" in caplog.text
