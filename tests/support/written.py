"""What watcher and recorder do together, without a broker between them: effects into a store."""

from collections.abc import Iterable

from drydown.bus import intake, wire
from drydown.bus.spool import EVENT, SERIES, Message
from drydown.effects import Conditioned, Derived, Effect, Estimated
from drydown.lines import Clock, Line, line_of
from drydown.store.write import StoreWriter


def record(store: StoreWriter, effects: Iterable[Effect], to_unix: Clock) -> None:
    """Readings and events of the tank heron."""
    effects = list(effects)
    readings = [effect.reading for effect in effects if isinstance(effect, Conditioned | Derived)]
    if readings:
        body = wire.readings(readings, to_unix)
        pack = intake.pack(wire.payload(Message("", (body,), SERIES, False, 1, 1), "b/"), "b/")
        store.add_rows("heron", pack.rows)
        store.add_judgements("heron", pack.judgements)
    for effect in effects:
        if not isinstance(effect, Conditioned | Derived | Estimated):
            record_event(store, line_of(effect, to_unix))


def record_event(store: StoreWriter, line: Line) -> None:
    """An event of the tank heron."""
    payload = wire.payload(Message("", (wire.event(line),), EVENT, False, 1, 1), "b/")
    store.add_event("heron", intake.happening(payload, "heron"))
