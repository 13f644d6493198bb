"""The bus: SenML over MQTT, and the socket of the watcher."""
