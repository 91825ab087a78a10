"""The booking engine: what can be promised, exactly, and what to offer where it can't."""

from clubbot.rules.availability.alternatives import alternatives
from clubbot.rules.availability.decide import SECONDS, decide
from clubbot.rules.availability.depth import depth
from clubbot.rules.availability.free import free_now
from clubbot.rules.availability.model import (
    Answer,
    Battery,
    Change,
    Demand,
    Fleet,
    FleetKit,
    Free,
    Impossible,
    Limit,
    Offer,
    OfferKind,
    Plan,
    Possible,
    ResourceId,
    Undecided,
)
from clubbot.rules.availability.replan import replan

__all__ = [
    "SECONDS",
    "Answer",
    "Battery",
    "Change",
    "Demand",
    "Fleet",
    "FleetKit",
    "Free",
    "Impossible",
    "Limit",
    "Offer",
    "OfferKind",
    "Plan",
    "Possible",
    "ResourceId",
    "Undecided",
    "alternatives",
    "decide",
    "depth",
    "free_now",
    "replan",
]
