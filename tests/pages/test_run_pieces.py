"""The page of a run is put together in the order in which it becomes known."""

from datetime import UTC

from drydown_api.access import Visitor
from drydown_api.tokens import Right
from drydown_pages import render
from drydown_pages.run.record import RunRecord
from drydown_pages.run.view import RunView, head_of_run, view_of_run
from support.boathouse import heron
from support.tank_state import NOON

RUN = RunRecord(
    tank=heron(), name="heron, 1 January 2026", start=NOON, until=NOON + 60.0, ended=True,
    stages=((NOON, "settling"),), run_time=0.0,
)  # fmt: skip
NASTY = b'{"said":"</script><script>alert(1)</script>"}'


def test_nothing_is_read_before_what_is_known_has_gone() -> None:
    asked: list[str] = []

    def read() -> RunView:
        asked.append("view")
        return view_of_run(RUN, UTC)

    def course() -> bytes:
        asked.append("course")
        return NASTY

    head = head_of_run("heron", RUN.name, RUN.start, RUN.until)
    pieces = render.run_page("boathouse", head, read, course, Visitor(Right.OPERATE))
    first = next(pieces)
    assert (asked, "heron, 1 January 2026 · drydown" in first) == ([], True)
    assert f'href="{head.series.replace("&", "&amp;")}"' in first
    second = next(pieces)
    assert (asked, "</main>" in second) == (["view"], True)
    (last,) = pieces
    assert asked == ["view", "course"]
    assert r'{"said":"\u003c/script>\u003cscript>alert(1)\u003c/script>"}</script>' in last
    assert last.rstrip().endswith("</html>")
    assert render.SEND not in first + second + last
