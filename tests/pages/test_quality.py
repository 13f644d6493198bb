"""The page of tests: a form becomes a command in SI units; what is wrong is said by field."""

from datetime import UTC
from typing import Any

import pytest

from drydown.config.model import Fuel
from drydown.estimate.result import Spread
from drydown.orders import command_of
from drydown.quality.kinds import TESTS
from drydown.quality.release import Estimated
from drydown.quality.results import results_of
from drydown.texts.liking import LIKING, Liking
from drydown_pages.entering import FormError, order_of_form
from drydown_pages.quality import quality_page

FUEL = Fuel(feedstock="used-cooking-oil")
NOW = 1_790_000_000.0


def order(**typed: str) -> dict[str, Any]:
    return order_of_form(typed)


def test_a_content_is_told_to_the_estimate_with_its_methods_error() -> None:
    told = order(kind="water", value="430", method="karl-fischer", ago="20")
    assert told == {
        "command": "bench-test",
        "quantity": "water",
        "value": pytest.approx(430e-6),
        "sigma": pytest.approx(0.06 * 430e-6),
        "method": "karl-fischer",
        "ago": 1200.0,
    }
    assert order(kind="methanol", value="0,18", method="weighing")["value"] == pytest.approx(0.0018)


def test_soap_is_worked_out_from_what_was_read_off() -> None:
    told = order(kind="soap-test", acid="1.2", fuel="12", blank="", method="titration")
    assert told["values"] == {"value": pytest.approx(304.4e-6), "method": "titration"}


def test_words_and_temperatures() -> None:
    assert order(kind="appearance-test", result="hazy")["values"] == {"result": "hazy"}
    flash = order(kind="flash-point-test", value="104", method="closed-cup")
    assert flash["values"]["value"] == pytest.approx(377.15)
    token = LIKING.set(Liking(temperature="fahrenheit"))
    try:
        flash = order(kind="flash-point-test", value="219.2", method="closed-cup")
        assert flash["values"]["value"] == pytest.approx(377.15)
    finally:
        LIKING.reset(token)


@pytest.mark.parametrize("kind", sorted(TESTS))
def test_every_form_that_is_filled_in_becomes_a_command(kind: str) -> None:
    form = next(one for one in quality_page("heron", FUEL, (), (), UTC).forms if one.kind == kind)
    typed = {field.name: "5" for field in form.fields} | {"kind": kind}
    if form.words:
        typed["result"] = form.words[0][0]
    if form.methods:
        typed["method"] = form.methods[0][0]
    assert command_of(order_of_form(typed) | {"who": "Wren"})


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"kind": "soup"}, "kind", "allowed is appearance-test"),
        ({"kind": "water", "value": "much", "method": "other"}, "value", "from 0 to 5e+05"),
        ({"kind": "water", "value": "400", "method": "nose"}, "method", "Say how it was found."),
        ({"kind": "soap-test", "acid": "1", "fuel": "0", "method": "other"}, "fuel", "from 0.1 to 500"),
        ({"kind": "appearance-test"}, "result", "Choose what you saw."),
        ({"kind": "ph-test", "value": "7", "method": "strip", "ago": "-1"}, "ago", "from 0 to"),
    ],
)
def test_what_is_wrong_is_said_by_field(typed: dict[str, str], field: str, said: str) -> None:
    with pytest.raises(FormError) as caught:
        order_of_form(typed)
    assert caught.value.troubles.keys() == {field}
    assert said in caught.value.troubles[field]


def test_nothing_typed_is_lost_with_a_form_that_is_refused() -> None:
    typed = {"kind": "water", "value": "much", "ago": "20"}
    page = quality_page(
        "heron", FUEL, (), (), UTC, typed=typed, troubles={"value": "This has to be a number."}
    )
    (opened,) = [form for form in page.forms if form.is_open]
    assert [(one.typed, one.trouble) for one in opened.fields] == [
        ("much", "This has to be a number."),
        ("20", ""),
    ]


def test_what_the_page_says() -> None:
    water = {"command": "bench-test", "quantity": "water", "value": 0.0007, "sigma": 4e-5, "who": "Wren"}
    results = results_of([water | {"time": NOW, "method": "karl-fischer"}])
    page = quality_page("heron", FUEL, results, (Estimated("methanol", Spread(0.001, 0.0005, 0.0015)),), UTC)
    assert page.headline == "Don't use it yet. Not as it should be: Water."
    (line,) = page.measured
    assert line.said == "Water 700 mg/kg, give or take 40 mg/kg"
    assert line.source == "Karl Fischer, ISO 12937, Wren, 21 September, 14:13"
    assert (line.limit, line.sign) == ("limit: at most 500 mg/kg (EN 14214)", "beyond")
    (guess,) = page.estimated
    assert guess.said == "Methanol about 0.10 % (0.050 to 0.15 %), worked out and not measured"
    assert "Flash point" in page.unlooked
