"""Messages about faults and danger, understood."""

from clubbot.rules.faults.lines import describe_json, understand_faults
from clubbot.rules.faults.reading import read_fault
from clubbot.rules.faults.symptoms import FaultReading, Symptom

__all__ = ["FaultReading", "Symptom", "describe_json", "read_fault", "understand_faults"]
