"""Wrong tokens cost more and more time, and only the address that tried them."""

from hypothesis import given
from hypothesis import strategies as st

from drydown_api.attempts import FIRST_WAIT, FORGOTTEN, FREE, LONGEST_WAIT, REMEMBERED, Attempts


def tried(times: int, address: str = "a") -> Attempts:
    attempts = Attempts()
    for i in range(times):
        attempts.failed(0.0, address, f"guess {i}")
    return attempts


def test_a_few_mistakes_cost_nothing() -> None:
    assert tried(FREE - 1).wait(0.0, "a") == 0.0


def test_then_each_costs_twice_as_much() -> None:
    waits = [tried(FREE + more).wait(0.0, "a") for more in range(12)]
    assert waits[:3] == [FIRST_WAIT, 2 * FIRST_WAIT, 4 * FIRST_WAIT]
    assert waits[-1] == LONGEST_WAIT


def test_the_wait_passes_and_the_mistakes_are_forgotten() -> None:
    attempts = tried(FREE)
    assert attempts.wait(FIRST_WAIT, "a") == 0.0
    attempts.failed(FORGOTTEN + 1.0, "a", "another")
    assert attempts.wait(FORGOTTEN + 1.0, "a") == 0.0


def test_others_do_not_wait() -> None:
    assert tried(100).wait(0.0, "b") == 0.0


def test_the_same_wrong_token_again_is_no_guess() -> None:
    attempts = Attempts()
    for _ in range(1000):  # a page with a revoked token
        attempts.failed(0.0, "a", "revoked")
    assert attempts.wait(0.0, "a") == 0.0


def test_who_was_right_begins_anew() -> None:
    attempts = tried(50)
    attempts.succeeded("a")
    assert attempts.wait(0.0, "a") == 0.0


def test_memory_is_bounded_and_the_latest_are_remembered() -> None:
    attempts = tried(50, "early")
    for i in range(REMEMBERED):
        attempts.failed(0.0, f"address {i}", "guess")
    for i in range(FREE):
        attempts.failed(0.0, "late", f"guess {i}")
    assert attempts.wait(0.0, "early") == 0.0
    assert attempts.wait(0.0, "late") == FIRST_WAIT


@given(st.lists(st.floats(0.0, 1e7), max_size=60))
def test_it_never_waits_longer_than_the_longest(times: list[float]) -> None:
    attempts = Attempts()
    for i, time in enumerate(sorted(times)):
        attempts.failed(time, "a", str(i))
        assert 0.0 <= attempts.wait(time, "a") <= LONGEST_WAIT
