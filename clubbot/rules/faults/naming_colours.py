"""Whether a colour is a kit's label or only the colour of something."""

from __future__ import annotations

from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line


def colour_is_label(line: Line, at: int, after: int) -> bool:
    """True when the colour in the tokens [at, after) is meant as a kit's label."""
    before, behind = line.low(at - 1), line.low(after)
    proper = line.raw(at)[0].isupper() and not line.shouted and at > 0
    if before == "feeling":
        return False
    if behind == "one" and _the_kit_itself(line, at, after + 1):
        return True
    if line.raw(after).lower() == "one's" and (at == 0 or before in {"the", "our"}):
        return True
    if proper and before == "the" and behind in WORDS.finite:
        return True
    if before == "and" and behind == "still":
        return True
    if before == "team" or (behind in WORDS.colour_after and not proper):
        return False
    if proper:
        return before not in WORDS.colour_verbs or behind in {"on", "off"}
    asked = before == "is" and (at == 1 or line.low(at - 2) in WORDS.asking)
    if asked or (behind in {"on", "off"} and before not in WORDS.colour_before):
        return True
    ends = line.kind(after) in {"", "sym"}
    owned = line.low(at - 3) in {"our", "my"} and line.low(at - 2) in WORDS.kit_one
    if before == "is" and owned and (ends or behind in {"and", "but"}):
        return True
    if line.low(at - 2) == "instead":
        return False
    if before in WORDS.colour_joins and (ends or behind in WORDS.finite | WORDS.state):
        return line.low(at - 2) not in WORDS.colour_before - {"is", "was"}
    if any(line.low(at - step) in WORDS.mistaken for step in (1, 2, 3)):
        return False
    if before in WORDS.colour_before - {"and", "is", "then", "or"}:
        return False
    return behind in WORDS.finite or before not in WORDS.article | WORDS.colour_before


def _the_kit_itself(line: Line, at: int, after: int) -> bool:
    """ "the red one won't start", "yellow one wheel is slow"."""
    if line.low(at - 1) in {"the", "our"}:
        named = {line.low(place) for place in range(at - 1)}
        return not named & (WORDS.colour_after | WORDS.ports | {"it"}) or (
            line.low(after) in WORDS.denials | {"keeps", "stopped", "died"}
        )
    return at == 0 and (line.low(after) in WORDS.equipment or line.kind(after) == "sym")
