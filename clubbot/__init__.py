"""Keeps a club's shared robot kits complete, charged, working and in the right hands."""

import sys
from typing import Any

__version__ = "0.1.0"

# httpx loads a command line of its own where the libraries for that are at hand: 5 MB for nothing
# in a bot. It does without when this module can't be had, as where they aren't installed.
_modules: dict[str, Any] = sys.modules
_modules.setdefault("httpx._main", None)
