"""What an entry of a school's calendar means by its title: the words, as data.

The lists are common practice of school calendars, from memory, without a source; a leader sees
what was taken and can drop it, and what was not sure and can take it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import StrEnum


class Meaning(StrEnum):
    """`CLOSED`: no school. `TERM`: a span of school; `STARTS`, `ENDS`: its first, its last day."""

    CLOSED = "closed"
    TERM = "term"
    STARTS = "starts"
    ENDS = "ends"
    UNSURE = "unsure"
    OTHER = "other"


_SEASONS = (
    r"spring|summer|autumn|fall|winter|christmas|xmas|easter|thanksgiving|february|october|may|"
    r"mid ?winter|mid ?term|half term|term|semester|school|hanukkah|diwali|eid|new years?"
)
# Whatever else such a title says, there is no school that day.
_DECISIVE = (
    r"no school(?! (uniform|dinners?|lunch(es)?|meals?|bus(es)?|trips?|bags?|clubs?|milk)\b)",
    r"no (classes|lessons|students|pupils)|no (student|pupil) attendance|non ?instructional",
    r"(schools?|college|academy) (is |are |will be |remains? )?(closed|shut)",
    r"school closures?",
    r"(pupil|student) ?free( day)?",
    r"non[ -]?(pupil|student|school|attendance) day",
    r"schulfrei|unterrichtsfrei|pas (de classe|d ecole|d école)|no lectivos?|lesvrije?( dag)?",
)
_CLOSED = (
    r"closed|closures?",
    r"(?<!before )(?<!after )(school |public |bank |national |federal |statutory )?holidays?",
    r"bank hols?",
    r"vacations?",
    r"half term",
    rf"({_SEASONS}|reading|long) (break|recess|vac)",
    r"inset( days?)?",
    r"(staff|teachers?) (training|development|planning|work ?days?|in ?service|days?)",
    r"in service days?",
    r"professional (development|learning|activity|day)",
    r"(pd|pa|inservice|curriculum|occasional|snow|off) days?|days? off",
    r"christmas day|boxing day|st stephens day|new years day|good friday|easter monday",
    r"thanksgiving day|labou?r day|memorial day",
    r"\w*ferien|feiertage?|brückentag|vacances|congés?|jours? fériés?|vacaciones|festivos?",
    r"vacanze|festività|chiusura|\w*vakantie|studiedag|férias|feriados?",
    r"sos lár téarma|saoire|dúnta|gwyliau|hanner tymor",
)
# The school is closed in some countries then and open in others, or it is a test.
_PERHAPS = (
    r"mid ?terms?|reading week|strike|polling day|election day|break|recess",
    r"(thanksgiving|independence|veterans|columbus|presidents|juneteenth|australia|anzac|waitangi|"
    r"canada|victoria|family|may|indigenous peoples|st patricks|martin luther king|mlk)( jr)?"
    r"( day)?",
)
# Something for which a holiday is only the occasion.
_OTHER = (
    r"camps?|clubs?|homework|exams?|examinations?|tests?|concerts?|part(y|ies)|fairs?|sales?|shops?",
    r"trips?|programmes?|programs?|shows?|plays?|meetings?|deadlines?|due|bookings?|registrations?",
    r"enrol\w*|applications?|jumpers?|photos?|(?<!in )service(?! day)|mass|lunch|dinner",
    r"menus?|cards?|gifts?|crafts?|revision|workshops?|courses?|tours?|markets?|quiz|bake|challenge",
    r"reminders?|reports?|performances?|celebrations?|letters?|raffle",
    r"nights?|evenings?|disco|dance|football|sports?|assembl(y|ies)",
)
_OTHER_CLOSED = (
    r"(library|office|gym|pool|car park|parking|canteen|cafeteria|kitchen|reception|road|street|"
    r"gates?|entrance|playground|field|hall|shop|toilets?|registrations?|applications?|admissions?|"
    r"bookings?|nominations?|entries|portal|list|lane|bridge)( \w+){0,2} (closed|closures?)",
    r"closing date",
    r"not (an? )?((public|school|bank|national|legal) )?(holidays?|closed|closures?)",
    r"schools? (is |are |stays? |remains? )?open|normal school days?",
)
_PART_OF_A_DAY = (
    r"half ?days?|early|noon|midday|from \d|at \d|\d{1,2}[:.]\d\d|\d ?[ap]m|delayed|late start",
)
_PART_OF_A_SCHOOL = (
    r"partial(ly)?|possible|possibly|tbc|tentative|optional|provisional|if needed|make ?up",
    r"(years?|grades?|class(es)?|forms?) ?\d{1,2}|\d(st|nd|rd|th) (years?|grades?|class(es)?)",
    r"kindergarten|nursery|preschool|seniors?|juniors?|infants?|sixth form",
)
_TERM = r"(?<!half )(?<!mid )(terms?|semesters?|trimesters?|quarters?|school year|academic year)"
_WHO = r"(school|classes|lessons|pupils|students|children)"
_STARTS = (
    rf"(first day|start|beginning|opening) (of|back)( \w+){{0,3}} ({_TERM}|school|classes|lessons)",
    rf"{_TERM}( \w+){{0,2}} (begins?|starts?|commences?|opens?|resumes?)",
    rf"{_WHO}( \w+){{0,1}} (re ?opens?|reopening|resumes?|returns?|return|back|starts?|begins?)",
    r"back to school|return to school|re ?opening day|first day back|first day after",
)
_ENDS = (
    rf"(last day|end|close|finish) of( \w+){{0,3}} ({_TERM}|school|classes|lessons)",
    rf"last day {_TERM}|last (school )?day before|last (school|student|pupil) day",
    rf"{_TERM}( \w+){{0,2}} (ends?|finishe?s?|closes?|concludes?)",
    rf"({_WHO} )?break(s|ing)? up( for)?",
    rf"{_WHO}( \w+)? (closes?|finishe?s?|ends?)( \S+){{0,3}} for( the)?( \w+)? "
    rf"?({_SEASONS}|holidays?)",
)
_STAFF_ONLY = (r"staff|teachers?",)
_ANY_START_OR_END = (r"begins?|starts?|ends?|first day|last day|commences?",)
_TERM_SPAN = (rf"{_TERM}( \d)?",)


def _any(*lists: Iterable[str]) -> re.Pattern[str]:
    words = "|".join(word for each in lists for word in each)
    return re.compile(rf"(?<!\w)(?:{words})(?!\w)")


_FIND_DECISIVE, _FIND_CLOSED, _FIND_PERHAPS = _any(_DECISIVE), _any(_CLOSED), _any(_PERHAPS)
_FIND_OTHER, _FIND_OTHER_CLOSED = _any(_OTHER), _any(_OTHER_CLOSED)
_FIND_PART_OF_A_DAY, _FIND_PART_OF_A_SCHOOL = _any(_PART_OF_A_DAY), _any(_PART_OF_A_SCHOOL)
_FIND_STAFF = _any(_STAFF_ONLY)
_FIND_STARTS, _FIND_ENDS, _FIND_TERM = _any(_STARTS), _any(_ENDS), _any(_TERM_SPAN)
_FIND_EDGE = _any(_ANY_START_OR_END)

A_BREAK = 3
"""Days: an entry that long is the break itself, not the day it begins or ends."""
A_TERM = 22
"""Days: an entry that long which names a term or half-term is a span of school."""
LONGEST_BREAK = 110
"""Days: the longest summer holidays; what is longer is no closure."""


def plain(title: str) -> str:
    """Return a title as it is compared: small letters, single spaces, no dashes or apostrophes."""
    small = title.casefold().translate({0x27: None, 0x2019: None, 0xAD: None})
    return " ".join(re.sub(r"[-\u2010-\u2015/_,;()\[\]|&+]|(?<!\d)[.:](?!\d)", " ", small).split())


def meaning(title: str, days: int) -> Meaning:
    """Say what a title means for an entry over so many whole days, 0 for a part of one."""
    said = plain(title)
    closed = bool(_FIND_DECISIVE.search(said) or _FIND_CLOSED.search(said))
    named = "half term" in said or (not closed and _FIND_TERM.search(said))
    if days >= A_TERM and named:
        return Meaning.TERM
    if days < A_BREAK and (edge := _edge(said)):
        return edge
    if not closed and not _FIND_PERHAPS.search(said):
        return Meaning.OTHER
    if _FIND_OTHER_CLOSED.search(said):
        return Meaning.OTHER
    if not _FIND_DECISIVE.search(said) and _FIND_OTHER.search(said):
        return Meaning.OTHER
    return Meaning.CLOSED if _surely(said, days, closed=closed) else Meaning.UNSURE


def _surely(said: str, days: int, *, closed: bool) -> bool:
    """Say whether a title that speaks of a closure means all of the school, all day."""
    if not 0 < days <= LONGEST_BREAK or _FIND_PART_OF_A_SCHOOL.search(said):
        return False
    if days >= A_BREAK:
        return closed or bool(re.search(r"mid ?term|break|recess", said))
    return closed and not _FIND_EDGE.search(said) and not _FIND_PART_OF_A_DAY.search(said)


def _edge(said: str) -> Meaning | None:
    """Say whether a title marks the first or the last day of school for everybody."""
    if _FIND_OTHER.search(said) or _FIND_STAFF.search(said) or _FIND_DECISIVE.search(said):
        return None
    if _FIND_STARTS.search(said):
        return Meaning.STARTS
    return Meaning.ENDS if _FIND_ENDS.search(said) else None
