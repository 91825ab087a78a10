"""What is seen when a kit fails, and what a text about it was understood to say."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Symptom(StrEnum):
    """What a person sees; the cause is found out later."""

    LOSES_POWER = "loses-power"
    SHORT_RUN = "short-run"
    WILL_NOT_START = "will-not-start"
    WILL_NOT_CHARGE = "will-not-charge"
    BATTERY_DANGER = "battery-danger"
    WILL_NOT_CONNECT = "will-not-connect"
    OLD_PROGRAM = "old-program"
    MOTOR_FAULT = "motor-fault"
    SENSOR_FAULT = "sensor-fault"
    PORT_OR_CABLE = "port-or-cable"
    UPDATE_TROUBLE = "update-trouble"
    FROZEN = "frozen"
    BROKEN_PART = "broken-part"
    MISSING_PART = "missing-part"
    TABLET_FAULT = "tablet-fault"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class FaultReading:
    """What a text says about faults.

    `kits` are the club's labels that it names, in the order of the text, whether or not there is
    a fault; where one kit fails and another is said to be fine, only the failing one.
    `alternatives` are sorted by probability, best first, and sum to at most `p_fault`: what is left
    of 1 is the chance that nothing is wrong. `symptom` is the first of them, or None where there is
    no fault; what it would be, if it were one after all, is told while there is some doubt.
    `danger` means that somebody may get hurt: it is raised in doubt and makes `fault` true. `fire`
    is raised for smoke or flames.
    `p_fault` is the probability that the text reports a fault at all.
    """

    fault: bool
    kits: tuple[str, ...]
    symptom: str | None
    alternatives: tuple[tuple[str, float], ...]
    danger: bool
    fire: bool
    p_fault: float
