"""What a tank has to tell somebody becomes notices in words, with their keys and links, for the courier."""

from collections.abc import Callable, Collection, Mapping

from drydown.clock import Clock, zone
from drydown.commands import Part
from drydown.config.model import Site
from drydown.effects import Change, NoticeDue, Priority
from drydown.lines import Line
from drydown.notices.age import counted_age
from drydown.notices.clearing import Clearing
from drydown.notices.courier import Courier
from drydown.notices.outbox import Notice
from drydown.texts.notices import NoticeText, all_clear, text, with_link

AT_ONCE = ("supply-cut",)  # kinds whose key holds the time of the notice itself; others that of their run
SAME_RUN = 60.0  # s within which the beginning of a run may be found again after a restart
SEEN = (Change.ACKNOWLEDGED, Change.RETURNED, Change.SHELVED, Change.SUPPRESSED, Change.REMOVED)


class Teller:
    """One site's. Called on the tanks' own threads.

    `told` says which alarms of a tank stand that somebody was told of; an earlier watcher may have told them.
    """

    def __init__(
        self, site: Site, clock: Clock, courier: Courier, told: Callable[[str], Collection[str]]
    ) -> None:
        self._site, self._clock, self._courier, self._told = site, clock, courier, told
        self._clearings: dict[str, Clearing] = {}

    def line(self, tank: str, line: Line) -> None:
        """Heed what happens to alarms, whoever is told."""
        if line["kind"] == "alarm" and line["change"] in SEEN:
            self._courier.settle(f"{tank}/{line['alarm']}")
            if line["change"] != Change.ACKNOWLEDGED:
                self._clearing(tank).gone(line["alarm"])

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        """Hand a notice over. A happening has the same key whenever and by whomever it is told."""
        if self._is_told_by_another(tank, notice):
            return
        age = counted_age(notice.time, self._clock.now(), self._clock.label.mark.sure)
        words = text(notice, tank, unix_time, zone())
        if notice.kind == "alarm":
            self._alarm(tank, notice, unix_time, age, words)
            return
        subject, _, mark = notice.key.rpartition("/")
        at = unix_time if notice.kind in AT_ONCE else unix_time + float(mark) - notice.time
        said = Notice(f"{tank}/{subject}/{at:.3f}", unix_time, notice.priority, words.title, words.body)
        self._courier.post(said, age, within=SAME_RUN)

    def _alarm(self, tank: str, notice: NoticeDue, unix_time: float, age: float, words: NoticeText) -> None:
        alarm, change = str(notice.values["alarm"]), notice.values["change"]
        about = f"{tank}/{alarm}"
        raised = change == Change.RAISED
        if raised:
            self._clearing(tank).told(alarm)
            words = self._linked(tank, alarm, words)
        else:
            before = self._clearing(tank).ended(alarm, words.title.rpartition(": ")[2])
            words = words if before is None else all_clear(words, tank, before)
        key = f"{tank}/alarm/{alarm}/{change}/{unix_time:.3f}"
        repeats = raised and notice.priority is Priority.EMERGENCY
        self._courier.post(
            Notice(key, unix_time, notice.priority, words.title, words.body, about, repeats), age
        )

    def _clearing(self, tank: str) -> Clearing:
        if tank not in self._clearings:
            self._clearings[tank] = Clearing(self._told(tank))
        return self._clearings[tank]

    def _linked(self, tank: str, alarm: str, words: NoticeText) -> NoticeText:
        home = self._site.serve.home_for_phones
        return with_link(words, f"{home}/tanks/{tank}#alarm-{alarm}") if home else words

    def _is_told_by_another(self, tank: str, notice: NoticeDue) -> bool:
        """What the tanks share is told by the first of them."""
        values: Mapping[str, object] = notice.values
        shared = values.get("alarm") == "watch-degraded" and values.get("cause") in SHARED
        return shared and tank != self._site.tank[0].name


SHARED = (Part.NOTICES, Part.CLOCK, Part.DISK, Part.FORWARD)
"""Parts whose health all tanks are told of."""
