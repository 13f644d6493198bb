"""What a notice's link leads to on a tank's page."""

from datetime import UTC

from drydown_pages.render import tank_parts
from drydown_pages.view import view_of
from support.boathouse import at_rest, heron
from support.tank_state import state_after

CLOSED = at_rest(vent__open=False, blower__running=True)


def test_a_notice_s_link_finds_its_alarm_and_a_held_blower_its_button() -> None:
    tank = heron(relay={"gpio": 24, "cuts_on": ["vent-closed"]})
    shown = tank_parts(view_of("boathouse", tank, state_after(tank, (30, CLOSED)), UTC))["alarms"]
    assert '<article id="alarm-vent-closed" class="alarm emergency">' in shown
    assert 'action="/tanks/heron/supply/restore" data-deed><button>Let the blower run again</button>' in shown
