"""Reads from the store what is to be sent, a piece at a time."""

from collections.abc import Iterator
from pathlib import Path

from drydown.forward.line_protocol import Series, event_line, series_lines
from drydown.store.arrived import Row, Span, merged
from drydown.store.schema import explained, open_for_reading

LEAST_OF_A_SERIES = 10  # rows of each in one piece, however many series there are

ROWS = "SELECT time, value, text, quality, reason FROM reading WHERE series = ? AND time >= ? AND time < ?"
SURE = " AND clock NOT IN (SELECT id FROM clock WHERE NOT sure)"
UNSURE = " AND clock IN (SELECT id FROM clock WHERE NOT sure)"


class Source:
    """A store that somebody else writes. Every method may raise StoreError."""

    def __init__(self, path: Path, site: str) -> None:
        self._path, self._site = path, site
        self._connection = open_for_reading(path)
        self._file = path.stat().st_ino

    @property
    def is_there(self) -> bool:
        """Whether the store was not taken away, nor another put in its place."""
        try:
            return self._path.stat().st_ino == self._file
        except OSError:
            return False

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def last_row(self) -> Row | None:
        """The newest of the list of what came in; None where no list is kept."""
        return next(iter(self._listed("ORDER BY id DESC LIMIT 1")), None)

    def has(self, row: Row) -> bool:
        """Whether the list has just this row."""
        return self._listed("WHERE id = ?", row[0]) == [row]

    def rows_after(self, number: int, most: int) -> list[Row]:
        """What came in after a row of the list, in order."""
        return self._listed("WHERE id > ? ORDER BY id LIMIT ?", number, most)

    def everything(self) -> tuple[Span, ...]:
        """From the first to the last that there is of each tank."""
        with explained(self._path):
            rows = self._connection.execute(
                "SELECT tank, (SELECT min(time) FROM reading WHERE series = id),"
                " (SELECT max(time) FROM reading WHERE series = id) FROM series"
                " UNION ALL SELECT tank, min(time), max(time) FROM event GROUP BY tank"
            ).fetchall()
        spans: dict[str, Span] = {}
        for tank, first, last in rows:
            if first is not None:
                _, begin, end = spans.get(tank, (tank, first, last))
                spans[tank] = tank, min(begin, first), max(end, last)
        return tuple(spans.values())

    def take(self, spans: tuple[Span, ...], most: int) -> tuple[list[str], tuple[Span, ...]]:
        """About as many lines as wanted, the oldest first, and what is left of the spans."""
        lines: list[str] = []
        left = sorted(merged(spans), key=lambda span: span[1])
        with explained(self._path):
            while left and len(lines) < most:
                tank, first, last = left.pop(0)
                series = self._series(tank)
                end = self._end(series, first, last, most - len(lines))
                lines += self._lines(series, first, end)
                lines += self._events(tank, first, end)
                if end <= last:
                    left.append((tank, end, last))
                    left.sort(key=lambda span: span[1])
        return lines, tuple(left)

    def _listed(self, which: str, *words: int) -> list[Row]:
        with explained(self._path):
            return self._connection.execute(
                f"SELECT id, tank, first, last FROM arrived {which}", words
            ).fetchall()

    def _series(self, tank: str) -> dict[int, Series]:
        rows = self._connection.execute("SELECT id, name, unit FROM series WHERE tank = ?", (tank,))
        return {id_: Series(self._site, tank, name, unit) for id_, name, unit in rows}

    def _end(self, series: dict[int, Series], first: int, last: int, most: int) -> int:
        """Before which time to stop, so that no series gives more than its share."""
        share = max(most // max(len(series), 1), LEAST_OF_A_SERIES)
        end = last + 1
        for id_ in series:
            found = self._connection.execute(
                "SELECT time FROM reading WHERE series = ? AND time >= ? AND time < ? ORDER BY time"
                " LIMIT 1 OFFSET ?",
                (id_, first, end, share),
            ).fetchone()
            if found:
                end = max(found[0], first + 1)
        return end

    def _lines(self, series: dict[int, Series], first: int, end: int) -> list[str]:
        is_doubted = self._connection.execute("SELECT 1 FROM clock WHERE NOT sure LIMIT 1").fetchone()
        lines: list[str] = []
        for id_, one in series.items():
            span = (id_, first, end)
            rows = self._connection.execute(ROWS + (SURE if is_doubted else ""), span)
            lines += series_lines(one, rows, is_sure=True)
            if is_doubted:
                rows = self._connection.execute(ROWS + UNSURE, span)
                lines += series_lines(one, rows, is_sure=False)
        return lines

    def _events(self, tank: str, first: int, end: int) -> Iterator[str]:
        rows = self._connection.execute(
            "SELECT kind, time, key, body, clock IN (SELECT id FROM clock WHERE NOT sure) FROM event"
            " WHERE tank = ? AND time >= ? AND time < ? ORDER BY time, id",
            (tank, first, end),
        ).fetchall()
        for kind, time, key, body, is_doubted in rows:
            yield event_line(self._site, tank, kind, time, key, body, is_sure=not is_doubted)
