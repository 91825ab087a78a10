"""Outages that whoever asks the desk may meet."""

from clubbot.store.engine import StoreUnavailable

__all__ = ["StoreUnavailable"]
