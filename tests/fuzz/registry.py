"""Every target of the fuzz, by name."""

from fuzz import api, files, recorder, socket_asks, watcher

TARGETS = {
    target.name: target
    for target in (
        recorder.TARGET,
        watcher.TARGET,
        files.PACK,
        files.STREAM,
        files.CONFIGURATION,
        socket_asks.TARGET,
        api.TARGET,
    )
}
