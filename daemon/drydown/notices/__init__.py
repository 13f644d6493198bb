"""Notices: messages to a phone, each sent once."""
