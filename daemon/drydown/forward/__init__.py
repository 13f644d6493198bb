"""`drydown forward`: what is in the store goes on to a server with the InfluxDB v2 write interface."""
