"""What goes out when on a route: the urgent first, the old together, nothing twice, nothing never."""

from hypothesis import given
from hypothesis import strategies as st

from drydown.effects import Priority
from drydown.notices.outbox import Notice
from drydown.notices.turn import (
    EXPIRES,
    FRESH,
    JITTER,
    LONGEST_DELAY,
    LONGEST_URGENT_DELAY,
    MOST,
    REPEAT,
    Pending,
    expired,
    next_message,
    next_time,
    repeat_after,
)

NOW = 1_000_000.0


def pending(
    key: str, priority: Priority = Priority.LOW, age: float = 0.0, *, settled: bool = False, attempts: int = 0
) -> Pending:
    repeats = priority is Priority.EMERGENCY
    notice = Notice(key, 0.0, priority, key, "", f"heron/{key}" if repeats else "", repeats)
    return Pending(notice, NOW - age, NOW - 1, attempts=attempts, settled=settled)


def keys(*waiting: Pending, quiet: bool = False) -> list[str]:
    message = next_message(waiting, NOW, quiet)
    return message.keys if message else []


def test_what_stands_goes_first_then_the_urgent_then_the_earlier() -> None:
    waiting = [
        pending("low", age=60),
        pending("high", Priority.HIGH, age=10),
        pending("later", Priority.EMERGENCY, age=5),
        pending("earlier", Priority.EMERGENCY, age=6),
    ]
    order = []
    while waiting:
        (first,) = keys(*waiting)
        order.append(first)
        waiting = [one for one in waiting if one.notice.key != first]
    assert order == ["earlier", "later", "high", "low"]


def test_what_is_old_goes_together_after_the_news_the_earliest_first() -> None:
    old = [pending("dry", age=FRESH + 5), pending("gone", Priority.HIGH, age=FRESH + 60)]
    assert keys(*old, pending("new")) == ["new"]
    message = next_message(old, NOW, False)
    assert message
    assert (message.keys, message.old, message.priority) == (["gone", "dry"], True, Priority.HIGH)


def test_an_emergency_that_stands_is_never_old() -> None:
    message = next_message([pending("hot", Priority.EMERGENCY, age=40 * FRESH)], NOW, False)
    assert message
    assert not message.old


def test_an_emergency_that_is_over_before_it_could_be_told_is_old() -> None:
    over = pending("hot", Priority.EMERGENCY, age=60, settled=True, attempts=1)
    message = next_message([over], NOW, False)
    assert message
    assert message.old


def test_in_quiet_hours_only_emergencies_that_are_news_go() -> None:
    assert keys(pending("low"), pending("high", Priority.HIGH), quiet=True) == []
    assert keys(pending("low"), pending("hot", Priority.EMERGENCY), quiet=True) == ["hot"]
    past = pending("hot", Priority.EMERGENCY, age=FRESH + 1, settled=True)
    assert keys(past, quiet=True) == []
    assert keys(past) == ["hot"]


def test_one_message_holds_no_more_than_can_be_read() -> None:
    many = [pending(f"{number:03}", age=FRESH + 1000 - number) for number in range(MOST + 5)]
    assert keys(*many) == [f"{number:03}" for number in range(MOST)]


def test_nothing_is_sent_before_its_time() -> None:
    one = pending("low")
    one.put_off(NOW)
    assert keys(one) == []
    assert next_time([one]) == one.at > NOW
    assert next_time([]) == float("inf")


def test_what_stands_never_expires() -> None:
    ancient = pending("dry", age=EXPIRES + 1)
    assert expired([ancient, pending("hot", Priority.EMERGENCY, age=EXPIRES + 1)], NOW) == [ancient]


@given(attempts=st.integers(0, 5000), priority=st.sampled_from(list(Priority)))
def test_the_delay_grows_to_a_bound_and_scatters_the_same_way_each_time(
    attempts: int, priority: Priority
) -> None:
    one, same = (pending("a", priority, attempts=attempts) for _ in range(2))
    one.put_off(NOW)
    same.put_off(NOW)
    assert one.at == same.at
    longest = LONGEST_URGENT_DELAY if priority is Priority.EMERGENCY else LONGEST_DELAY
    delay = min(longest, 5.0 * 2.0 ** min(attempts, 30))
    assert (1 - JITTER) * delay <= one.at - NOW <= (1 + JITTER) * delay


def test_a_watcher_that_dies_again_and_again_repeats_as_often_as_one_that_lives() -> None:
    happened, now, times, said = NOW, NOW, 0, []
    for _ in range(60):  # each lives for a minute
        at = repeat_after(happened, times, now)
        now += 60.0
        if at < now:
            said.append(at)
            times += 1
    assert said == [NOW + REPEAT * turn for turn in range(12)]


def test_after_an_outage_it_is_repeated_once_and_no_odd_clock_keeps_it_back_for_long() -> None:
    assert repeat_after(NOW - 7 * REPEAT, 2, NOW) == NOW
    assert repeat_after(NOW, 20, NOW) == NOW + REPEAT


def test_two_boards_do_not_knock_at_the_same_time() -> None:
    times = set()
    for board in range(20):
        one = pending(f"board-{board}")
        one.put_off(NOW)
        times.add(round(one.at, 2))
    assert len(times) > 15


@given(
    st.lists(
        st.tuples(st.sampled_from(list(Priority)), st.floats(0, 2 * FRESH), st.booleans(), st.integers(0, 3)),
        max_size=30,
    )
)
def test_everything_that_waits_goes_out_once_and_in_the_end_all_of_it(
    given_: list[tuple[Priority, float, bool, int]],
) -> None:
    waiting = [
        pending(str(number), priority, age, settled=settled, attempts=attempts)
        for number, (priority, age, settled, attempts) in enumerate(given_)
    ]
    sent: list[str] = []
    while message := next_message(waiting, NOW, False):
        assert message.keys
        sent += message.keys
        waiting = [one for one in waiting if one not in message.items]
    assert sorted(sent, key=int) == [str(number) for number in range(len(given_))]
