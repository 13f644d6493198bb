"""The spool: numbers without holes, nothing let go too early, nothing twice without need."""

from hypothesis import given
from hypothesis import strategies as st
from hypothesis.stateful import invariant, precondition, rule

from drydown.bus.spool import EVENT, MESSAGE_SIZE, SERIES, Entry, Message, Spool
from support.drawer import Drawer, SpoolWithADrawer


def reading(body: bytes = b"r") -> Entry:
    return Entry("readings", body, SERIES)


def event(body: bytes = b"e") -> Entry:
    return Entry("run", body, EVENT, retain=True)


def drain(spool: Spool) -> list[Message]:
    out = []
    while message := spool.take():
        out.append(message)
    return out


def test_what_waits_side_by_side_shares_a_message() -> None:
    spool = Spool()
    for entry in (reading(b"1"), reading(b"2"), event(b"3"), event(b"4"), reading(b"5")):
        spool.add(entry)
    covered = [(message.first, message.last, message.bodies) for message in drain(spool)]
    assert covered == [(0, 2, (b"1", b"2")), (3, 3, (b"3",)), (4, 4, (b"4",)), (5, 5, (b"5",))]


def test_a_message_does_not_grow_beyond_its_size() -> None:
    spool = Spool()
    for _ in range(5):
        spool.add(reading(b"x" * (MESSAGE_SIZE // 2)))
    assert [len(message.bodies) for message in drain(spool)] == [2, 2, 1]


def test_what_every_recorder_passed_is_let_go_and_the_rest_is_sent_again() -> None:
    spool = Spool()
    for _ in range(4):
        spool.add(reading())
    drain(spool)
    assert not spool.confirm("near", 0)
    assert not spool.confirm("far", 0)
    assert spool.confirm("near", 3)
    assert spool.unconfirmed == 4
    assert spool.confirm("far", 2)
    assert spool.unconfirmed == 2
    spool.rewind()
    assert [(message.first, message.last) for message in drain(spool)] == [(0, 4)]


def test_a_recorder_that_is_gone_for_good_holds_nothing_up() -> None:
    spool = Spool()
    spool.add(reading())
    spool.confirm("gone", 0)
    spool.confirm("store", 1)
    assert spool.unconfirmed == 1
    spool.forget("gone")
    assert spool.unconfirmed == 0


def test_when_full_the_oldest_readings_go_and_their_numbers_stay_covered() -> None:
    spool = Spool(capacity=30)
    spool.add(event(b"e" * 10))
    for digit in b"123456":
        spool.add(reading(bytes([digit]) * 5))
    messages = drain(spool)
    assert spool.dropped == 2
    assert [(message.first, message.last) for message in messages] == [(0, 3), (4, 7)]
    assert messages[1].bodies == (b"33333", b"44444", b"55555", b"66666")


def test_events_never_go() -> None:
    spool = Spool(capacity=30)
    for _ in range(10):
        spool.add(event(b"e" * 10))
    assert len(drain(spool)) == 10


def test_a_counter_that_went_back_is_moved_beyond_what_was_recorded() -> None:
    spool = Spool()
    spool.add(reading(b"1"))
    spool.add(reading(b"2"))
    drain(spool)
    assert not spool.confirm("store", 500)
    assert [(message.first, message.last) for message in drain(spool)] == [(0, 502)]
    assert spool.confirm("store", 502)
    assert spool.unconfirmed == 0


def test_what_is_safe_on_the_shelf_leaves_the_memory_and_is_sent_from_there_after_a_restart() -> None:
    drawer = Drawer()
    spool = Spool(shelf=drawer)
    for body in (b"1", b"2"):
        spool.add(reading(body))
    assert spool.put_by()
    spool.add(event(b"3"))
    assert not spool.put_by()
    drawer.settle()
    spool.lighten()
    assert [message.bodies for message in drain(spool)] == [(b"1", b"2"), (b"3",)]
    assert spool.put_by()
    drawer.settle()
    after = Spool(100, shelf=drawer)
    after.add(reading(b"4"))
    covered = [(message.first, message.last, message.bodies) for message in drain(after)]
    assert covered == [(0, 2, (b"1", b"2")), (3, 3, (b"3",)), (4, 100, (b"4",))]
    after.confirm("store", 3)
    assert not drawer.entries
    assert not after.confirm("store", 500)
    assert [(message.first, message.last) for message in drain(after)] == [(0, 597)]


class SpoolAgainstALossyBroker(SpoolWithADrawer):
    """A recorder behind a broker that loses and repeats messages still gets every entry, in the end once."""

    def __init__(self) -> None:
        super().__init__()
        self.spool = Spool(shelf=self.drawer)
        self.spool.confirm("store", 0)
        self.said: list[bytes] = []
        self.recorded: set[bytes] = set()
        self.cursor = 0

    @rule(count=st.integers(1, 5), is_event=st.booleans())
    def say(self, count: int, is_event: bool) -> None:
        for _ in range(count):
            body = str(len(self.said)).encode()
            self.said.append(body)
            self.spool.add(event(body) if is_event else reading(body))

    @rule(arrives=st.booleans(), times=st.integers(1, 2))
    def send(self, arrives: bool, times: int) -> None:
        message = self.spool.take()
        if message and arrives:
            for _ in range(times):
                self.record(message)

    @precondition(lambda self: self.spool.unconfirmed)
    @rule()
    def send_the_newest_out_of_turn(self) -> None:
        if self.spool.next_number - 1 > self.drawer.safe:
            self.record(self.spool.single(self.spool.next_number - 1))

    @rule()
    def restart(self) -> None:
        self.put_all_by()
        self.spool = Spool(self.spool.next_number, shelf=self.drawer)
        self.spool.confirm("store", self.cursor)

    @rule()
    def confirm(self) -> None:
        self.spool.confirm("store", self.cursor)

    @rule()
    def restore_the_recorder_from_a_copy_of_now_and_ask(self) -> None:
        if not self.spool.confirm("store", self.cursor):
            self.spool.rewind()

    def record(self, message: Message) -> None:
        self.recorded.update(message.bodies)
        if message.first <= self.cursor + 1:
            self.cursor = max(self.cursor, message.last)

    @invariant()
    def nothing_below_the_cursor_is_missing(self) -> None:
        assert self.recorded >= set(self.said[: self.cursor])

    def teardown(self) -> None:
        self.spool.rewind()
        for message in drain(self.spool):
            self.record(message)
        assert self.recorded == set(self.said)
        assert self.cursor == len(self.said)


TestSpoolAgainstALossyBroker = SpoolAgainstALossyBroker.TestCase


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 20)), max_size=40))
def test_the_numbers_of_messages_never_have_holes(entries: list[tuple[bool, int]]) -> None:
    spool = Spool(capacity=100)
    for is_event, size in entries:
        body = b"x" * size
        spool.add(event(body) if is_event else reading(body))
    covered = 0
    for message in drain(spool):
        assert message.first <= covered + 1 <= message.last
        covered = message.last
    assert covered == len(entries) or not any(is_event for is_event, _ in entries[covered:])
