"""Keeps a club's shared robot kits complete, charged, working and in the right hands."""

__version__ = "0.1.0"
