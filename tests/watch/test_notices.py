"""From a sensor's file to somebody's phone, through the real watcher."""

from pathlib import Path

from support.broker import free_port, until
from support.receiver import receiver
from support.watched_place import place


def test_an_emergency_reaches_the_phone_with_what_to_do(tmp_path: Path) -> None:
    with receiver() as phone:
        routes = f'\n[notices]\nroutes = [{{ name = "phone", address = "{phone.address}" }}]\n'
        with place(tmp_path, free_port(), routes) as alone, alone.command("watch"):
            alone.wait_for_readings()
            alone.thermometer.show(66.0)
            until(lambda: any("too hot" in title for title in phone.titles), 20)
            hot = next(one for one in phone.taken if "too hot" in one["title"])
            assert "heron: EMERGENCY" in hot["title"]
            assert "66 °C" in hot["message"]
            assert "no safety system" in hot["message"]
            assert phone.titles.count(hot["title"]) == 1
