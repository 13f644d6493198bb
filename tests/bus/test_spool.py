"""The spool: numbers without holes, nothing let go too early, nothing twice without need."""

from hypothesis import given
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from drydown.bus.spool import EVENT, LEAP, MESSAGE_SIZE, SERIES, Entry, Message, Spool

CAPACITY = 40  # bytes: a few entries


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
    assert covered == [(1, 2, (b"1", b"2")), (3, 3, (b"3",)), (4, 4, (b"4",)), (5, 5, (b"5",))]


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
    (again,) = drain(spool)
    assert (again.first, again.last, again.lost_from, again.is_sure) == (3, 4, 1, True)


def test_one_that_starts_again_waits_for_every_recorder_that_it_knew() -> None:
    spool = Spool(next_number=6, recorders=["near", "far"])
    spool.add(event())
    assert not spool.confirm("near", 5)
    assert spool.confirm("near", 6)
    assert spool.unconfirmed == 1
    assert not spool.confirm("far", 3)
    drain(spool)
    assert spool.confirm("far", 6)
    assert spool.unconfirmed == 0


def test_one_that_starts_again_says_that_nothing_older_can_be_had() -> None:
    spool = Spool(next_number=6)
    spool.add(reading())
    spool.add(event())
    told = [(message.first, message.last, message.lost_from) for message in drain(spool)]
    assert told == [(6, 6, 1), (7, 7, 0)]


def test_after_a_crash_it_is_not_sure_that_what_is_missing_ever_was() -> None:
    spool = Spool(next_number=10_001, doubtful=10_001)
    spool.add(reading())
    (message,) = drain(spool)
    assert (message.first, message.lost_from, message.is_sure) == (10_001, 1, False)
    spool.add(reading())
    spool.confirm("store", 10_001)
    spool.rewind()
    (message,) = drain(spool)
    assert (message.first, message.lost_from, message.is_sure) == (10_002, 1, True)  # 10,001 was something


def test_what_is_skipped_is_kept_and_not_called_lost() -> None:
    spool = Spool()
    for _ in range(3):
        spool.add(reading())
    spool.skip()
    spool.add(reading())
    (message,) = drain(spool)
    assert (message.first, message.last, message.lost_from) == (4, 4, 0)
    spool.rewind()
    assert [(message.first, message.last) for message in drain(spool)] == [(1, 4)]


def test_a_recorder_that_is_gone_for_good_holds_nothing_up() -> None:
    spool = Spool()
    spool.add(reading())
    spool.confirm("gone", 0)
    spool.confirm("store", 1)
    assert spool.unconfirmed == 1
    spool.forget("gone")
    assert spool.unconfirmed == 0


def test_when_full_the_oldest_readings_go_and_the_next_message_says_so() -> None:
    spool = Spool(capacity=30)
    spool.add(event(b"e" * 10))
    for digit in b"123456":
        spool.add(reading(bytes([digit]) * 5))
    messages = drain(spool)
    assert spool.dropped == 2
    told = [(message.first, message.last, message.lost_from) for message in messages]
    assert told == [(1, 1, 0), (4, 7, 2)]
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
    (message,) = drain(spool)
    assert (message.bodies, message.lost_from, message.is_sure) == ((b"1", b"2"), 1, False)
    assert message.first > 500
    assert spool.confirm("store", message.last)
    assert spool.unconfirmed == 0


def test_after_it_was_moved_no_other_cursor_means_what_is_kept_now() -> None:
    spool = Spool()
    spool.confirm("ahead", 0)
    spool.add(event(b"1"))
    spool.add(event(b"2"))
    spool.confirm("ahead", 500)
    spool.confirm("a little further ahead", 501)
    spool.confirm("ahead", spool.next_number - 1)
    assert spool.unconfirmed == 2
    assert [message.bodies for message in drain(spool)] == [(b"1",), (b"2",)]
    assert spool.next_number > 500 + LEAP


class SpoolAgainstALossyBroker(RuleBasedStateMachine):
    """Behind a broker that loses and repeats messages a recorder gets every entry, or is told of its loss.

    The watcher may stop with entries unconfirmed, the spool be full, and the recorder stand on an older copy.
    """

    def __init__(self) -> None:
        super().__init__()
        self.spool = Spool(capacity=CAPACITY)
        self.spool.confirm("store", 0)
        self.said: list[bytes] = []
        self.events: set[int] = set()
        self.recorded: set[bytes] = set()
        self.gaps: set[int] = set()
        self.copy = 0, frozenset[bytes](), frozenset[int]()
        self.cursor = 0

    @rule(count=st.integers(1, 5), is_event=st.booleans())
    def say(self, count: int, is_event: bool) -> None:
        for _ in range(count):
            body = str(len(self.said)).encode()
            self.said.append(body)
            number = self.spool.add(event(body) if is_event else reading(body))
            self.events.update([number] if is_event else [])

    @rule(arrives=st.booleans(), times=st.integers(1, 2))
    def send(self, arrives: bool, times: int) -> None:
        message = self.spool.take()
        if message and arrives:
            for _ in range(times):
                self.record(message)

    @precondition(lambda self: self.spool.unconfirmed)
    @rule(data=st.data())
    def send_out_of_turn(self, data: st.DataObject) -> None:
        oldest = self.spool.next_number - self.spool.unconfirmed
        kept = sorted(number for number in self.events if number >= oldest)
        if kept:
            self.record(self.spool.single(data.draw(st.sampled_from(kept))))

    @rule()
    def confirm(self) -> None:
        self.spool.confirm("store", self.cursor)

    @rule()
    def reconnect(self) -> None:
        self.spool.rewind()

    @rule()
    def copy_the_record(self) -> None:
        self.copy = self.cursor, frozenset(self.recorded), frozenset(self.gaps)

    @rule()
    def restore_the_copy_and_ask(self) -> None:
        self.cursor, self.recorded, self.gaps = self.copy[0], set(self.copy[1]), set(self.copy[2])
        if not self.spool.confirm("store", self.cursor):
            self.spool.rewind()

    @rule()
    def restart_the_watcher(self) -> None:
        self.spool = Spool(self.spool.next_number, CAPACITY)

    def record(self, message: Message) -> None:
        self.recorded.update(message.bodies)
        reached = self.cursor
        if message.first <= reached + 1:
            self.cursor = max(reached, message.last)
        elif message.lost_from and message.lost_from <= reached + 1:
            self.gaps.update(range(reached + 1, message.first))
            self.cursor = message.last

    @invariant()
    def what_is_missing_below_the_cursor_was_told(self) -> None:
        missing = {number for number in range(1, self.cursor + 1) if self.body(number) not in self.recorded}
        assert missing <= self.gaps

    def body(self, number: int) -> bytes:
        return self.said[number - 1]

    def teardown(self) -> None:
        self.spool.rewind()
        for message in drain(self.spool):
            self.record(message)
        unheard = range(self.cursor + 1, len(self.said) + 1)  # nothing came after it that could have told
        missing = {
            number for number in range(1, len(self.said) + 1) if self.body(number) not in self.recorded
        }
        assert missing <= self.gaps | set(unheard)
        kept = range(self.spool.next_number - self.spool.unconfirmed, self.spool.next_number)
        assert self.recorded >= {self.body(number) for number in self.events & set(kept)}


TestSpoolAgainstALossyBroker = SpoolAgainstALossyBroker.TestCase


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 20)), max_size=40))
def test_the_numbers_of_messages_never_have_holes_untold(entries: list[tuple[bool, int]]) -> None:
    spool = Spool(capacity=100)
    for is_event, size in entries:
        body = b"x" * size
        spool.add(event(body) if is_event else reading(body))
    covered = 0
    for message in drain(spool):
        assert message.first == covered + 1 or message.lost_from == covered + 1 < message.first
        covered = message.last
    assert covered == len(entries) or not any(is_event for is_event, _ in entries[covered:])
