"""Lists what hangs on the 1-Wire buses: how each probe is, and which line of the configuration uses it."""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor

from drydown.check.finding import Finding
from drydown.config.model import OneWireProbe, Site
from drydown.probes import w1_kinds
from drydown.probes.w1 import OneWire
from drydown.probes.w1_answer import Answer, AnswerError
from drydown.probes.w1_bus import Bus, conversion_time
from drydown.probes.w1_thermometer import BITS, Thermometer
from drydown.quantities import MEASURED

READ, PHANTOM = "28-", "00-"
OTHERS = {"10-": "DS18S20", "22-": "DS1822", "3b-": "DS1825", "42-": "DS28EA00"}  # Linux w1_therm
MORE_ANSWERS = 3
RULE = "deploy/udev/60-drydown-w1.rules lets the group drydown do so; its first lines say how to install it"


def wire_findings(site: Site, wire: OneWire) -> Iterator[Finding]:
    """Every bus, and everything on it."""
    for bus in wire.buses.all():
        serials = [serial for serial in bus.slaves() if serial.startswith(READ)]
        thermometers = [wire.thermometer(serial) for serial in serials]
        answers = _read(thermometers)
        yield _bus_finding(bus, thermometers)
        for thermometer, answer in zip(thermometers, answers, strict=True):
            yield _thermometer_finding(site, thermometer, answer)
        yield from (_stranger(serial) for serial in bus.slaves() if not serial.startswith(READ))


def users(site: Site, serial: str) -> list[str]:
    """The lines of the configuration that name a probe, such as 'heron "fuel/temperature"'."""
    return [
        f'{tank.name} "{name}"'
        for tank in site.tank
        for name, config in tank.probes.items()
        if isinstance(config, OneWireProbe) and config.w1 == serial
    ]


def use(site: Site, serial: str) -> str:
    """Who uses a probe, or the line that would."""
    lines = users(site, serial)
    if lines:
        return f"It is {' and '.join(lines)}."
    free = [
        (tank.name, name)
        for name, quantity in MEASURED.items()
        for tank in site.tank
        if quantity.unit == "Cel" and name not in tank.probes
    ]
    if not free:
        return "No line of the configuration uses it, and every temperature has its probe."
    tank, name = free[0]
    return (
        "No line of the configuration uses it. To do so, put under the probes of a tank what it measures, "
        f'such as for {tank}:  "{name}" = {{ w1 = "{serial}" }}'
    )


def _read(thermometers: Sequence[Thermometer]) -> list[Answer | AnswerError]:
    """All at once."""
    if not thermometers:
        return []
    with ThreadPoolExecutor(len(thermometers)) as pool:
        return list(pool.map(_settled, thermometers))


def _settled(thermometer: Thermometer) -> Answer | AnswerError:
    """An answer with the right resolution, which the first one has it told if need be.

    The second may still be out of a conversion that another probe began before that. Silence is not believed
    at once either: the watcher reads the same probe, and what it converts is not to be had meanwhile.
    """
    seen, answer = thermometer.answer(0)
    for _ in range(MORE_ANSWERS):
        if _is_settled(answer):
            break
        seen, answer = thermometer.answer(seen)
    return answer


def _is_settled(answer: Answer | AnswerError) -> bool:
    if isinstance(answer, AnswerError):
        return answer.fault is not w1_kinds.SILENT
    return answer.bits == BITS


def _bus_finding(bus: Bus, thermometers: Sequence[Thermometer]) -> Finding:
    part = f"1-wire {bus.name}"
    count = len(thermometers)
    if count == 0:
        said = "No DS18B20 answers on it; one that is plugged in shows after some ten seconds."
        return Finding(part, True, said)
    times = {one.serial: conversion_time(bus.slave(one.serial)) for one in thermometers}
    longest = max(times.values())
    if count == 1:
        return Finding(part, True, f"One DS18B20, which takes {longest:.2g} s to convert.")
    if os.access(bus.trigger, os.W_OK) and bus.trigger.is_file():
        return Finding(part, True, f"{count} DS18B20 convert all at once, in {longest:.2g} s.")
    parasites = [one.serial for one in thermometers if one.has_supply is False]
    one_by_one = sum(times[serial] for serial in parasites)
    rest = max((time for serial, time in times.items() if serial not in parasites), default=0.0)
    if len(parasites) > 1:
        cost = (
            f"the {len(parasites)} on parasite power convert one after another, so that a round takes "
            f"{one_by_one + rest:.2g} s instead of {longest:.2g} s"
        )
    else:
        cost = "each converts by itself: no slower, since they have supplies of their own, but more traffic"
    if bus.trigger.is_file():
        return Finding(part, False, f"This user may not write {bus.trigger}, hence {cost}. {RULE}.")
    kernel = "The kernel cannot convert all of this bus at once (Linux 5.8 and later can, on one bus), hence"
    mend = " Give them a supply of their own by their third wire." if len(parasites) > 1 else ""
    return Finding(part, not mend, f"{kernel} {cost}.{mend}")


def _thermometer_finding(site: Site, thermometer: Thermometer, answer: Answer | AnswerError) -> Finding:
    part = f"1-wire {thermometer.serial}"
    if isinstance(answer, AnswerError):
        text = str(answer)
        return Finding(part, False, f"{text[0].upper()}{text[1:]}. {use(site, thermometer.serial)}")
    power = {
        True: "with a supply of its own",
        False: "on parasite power (its third wire, fed with 3.3 V, would make it surer)",
        None: "whose supply is not known",
    }[thermometer.has_supply]
    said = f"{answer.celsius:.1f} °C, {answer.bits} bits, {power}. {use(site, thermometer.serial)}"
    if answer.bits == BITS:
        return Finding(part, True, said)
    step = 0.0625 * 2 ** (BITS - answer.bits)
    return Finding(part, False, f"{said} It reads in steps of {step:g} °C: {_why_coarse(thermometer)}.")


def _why_coarse(thermometer: Thermometer) -> str:
    if os.access(thermometer.resolution_file, os.W_OK):
        return f"told to use {BITS} bits, it does not, as some copies of the sensor: use another for the fuel"
    return f"this user may not set {BITS} bits. {RULE}"


def _stranger(serial: str) -> Finding:
    part = f"1-wire {serial}"
    if serial.startswith(PHANTOM):
        return Finding(
            part,
            False,
            "No device has this number: noise answered. Fit 4.7 kΩ between data and 3.3 V; shorten wires.",
        )
    kind = OTHERS.get(serial[:3])
    said = f"A {kind}; drydown reads the DS18B20 (28-…) alone." if kind else "No thermometer; left alone."
    return Finding(part, True, said)
