"""The fake 1-Wire bus shows what real ones were seen to show."""

import pytest

from support.fake_w1 import POWER_ON, scratchpad, shown


@pytest.mark.parametrize(
    ("celsius", "line", "millidegrees"),
    [
        # lines posted by owners of real DS18B20: raspberrypi.org forum, topic 91982, and
        # github.com/yryz/ds18b20, issue 1 (where t= was not posted and is worked out from the bytes)
        (3.9375, "3f 00 4b 46 7f ff 01 10 47 : crc=47 YES", 3937),
        (-2.1875, "dd ff 4b 46 7f ff 03 10 25 : crc=25 YES", -2187),
        (1.375, "16 00 4b 46 7f ff 0a 10 a5 : crc=a5 YES", 1375),
    ],
)
def test_conversion(celsius: float, line: str, millidegrees: int) -> None:
    first, second = shown(scratchpad(celsius)).splitlines()
    assert first == line
    assert second == f"{line[:26]} t={millidegrees}"


def test_power_on_value_has_a_right_checksum() -> None:
    # DS18B20 data sheet: the temperature register holds +85 °C at power-up
    assert shown(POWER_ON).splitlines()[0].endswith("YES")
    assert shown(POWER_ON).endswith("t=85000\n")


def test_failed_checksum_shows_the_old_bytes() -> None:
    # Linux drivers/w1/slaves/w1_therm.c, w1_slave_show(): the second line has the retained bytes, but t= is
    # worked out from those just read, whatever Documentation/w1/slaves/w1_therm says
    first, second = shown(scratchpad(60.0), crc=0, kept=scratchpad(21.5)).splitlines()
    assert first.endswith("NO")
    assert second.startswith(scratchpad(21.5).hex(" "))
    assert second.endswith("t=60000")
