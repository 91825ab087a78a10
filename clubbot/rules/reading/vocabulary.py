"""The words a request is made of: what they mean, how they are shortened, what they are not."""

from __future__ import annotations


def words(text: str) -> tuple[str, ...]:
    """Words written one after the other, as a tuple."""
    return tuple(text.split())


WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
ONES = words(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen twenty"
)
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}
NUMBER_WORDS = {word: value for value, word in enumerate(ONES)} | TENS
ORDINALS = {
    word: value
    for value, word in enumerate(
        words(
            "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth "
            "thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth "
            "twentieth"
        ),
        start=1,
    )
} | {"thirtieth": 30}

KIT_ONE = frozenset({"kit", "robot", "unit", "bot", "tray", "set", "machine"})
KIT_MANY = frozenset({"kits", "robots", "units", "bots", "trays", "sets", "machines"})
KIT = KIT_ONE | KIT_MANY

PEOPLE = frozenset(
    words(
        "students student kids kid children child pupils pupil people persons participants "
        "learners girls boys teams groups members players teachers adults beginners pairs"
    )
)
GROUPS = frozenset(
    words(
        "class year yr grade form group room team table level stage period lesson block lab hall "
        "page chapter project mission challenge exercise part task floor "
        "door gate bus round heat wave step age aged ext "
        "yeargroup squad section"
    )
)

TO = frozenset({"to", "until", "-", "through", "till", "upto"})
SEPARATORS = frozenset({",", "and", "&", "+", "/", "plus", "n"})

ALIASES: dict[str, str] = {
    **dict.fromkeys(("mon", "mondy"), "monday"),
    **dict.fromkeys(("tue", "tues", "tu", "teusday", "tuseday"), "tuesday"),
    **dict.fromkeys(("wed", "weds", "wedn", "wensday", "wendsday", "wednsday"), "wednesday"),
    **dict.fromkeys(("thu", "thur", "thurs", "thrs", "thusday"), "thursday"),
    **dict.fromkeys(("fri", "friyay"), "friday"),
    **dict.fromkeys(("sat", "satday"), "saturday"),
    **dict.fromkeys(("sun",), "sunday"),
    **{day[:3] + "s": day + "s" for day in WEEKDAYS if day[:3] in {"mon", "fri", "sat", "sun"}},
    **{month[:3]: month for month in MONTHS if month != "may"},
    **dict.fromkeys(("sept", "septembre"), "september"),
    "octobre": "october",
    **dict.fromkeys(
        ("tmrw", "tmr", "tmw", "tmrrw", "tmrow", "tomo", "tomoz", "tomorro", "tmoro"),
        "tomorrow",
    ),
    **dict.fromkeys(("tdy", "tody"), "today"),
    **dict.fromkeys(("tonite", "tnite"), "tonight"),
    **dict.fromkeys(("til", "till", "untill", "untl", "unil", "'til", "thru", "bis"), "until"),
    **dict.fromkeys(
        (
            "frm",
            "frmo",
            "form",
            "fro",
            "starting",
            "start",
            "starts",
            "begin",
            "beginning",
            "begins",
            "since",
            "von",
        ),
        "from",
    ),
    **dict.fromkeys(
        (
            "ending",
            "ends",
            "end",
            "finish",
            "finishing",
            "finishes",
            "return",
            "returning",
            "returned",
            "back",
        ),
        "ending",
    ),
    **dict.fromkeys(("hr", "hrs", "hour's", "hours", "hrs'", "uhr"), "hours"),
    **dict.fromkeys(("min", "mins", "minute", "minutes", "minuets"), "minutes"),
    **dict.fromkeys(("wk", "wks"), "week"),
    "weeks": "weeks",
    **dict.fromkeys(("next".replace("e", "", 1), "nex"), "next"),
    **dict.fromkeys(("evry", "every", "each"), "every"),
    **dict.fromkeys(("thx", "thanks", "thankyou", "cheers", "pls", "plz", "plse"), "please"),
    **dict.fromkeys(("and", "und", "et"), "and"),
    **dict.fromkeys(("midday", "noon", "noontime"), "noon"),
    **dict.fromkeys(("eve", "evenings"), "evening"),
    **dict.fromkeys(("arvo", "aft", "afternoons", "aftrnoon"), "afternoon"),
    **dict.fromkeys(("morn", "mornings", "am's"), "morning"),
    **dict.fromkeys(("coupla", "cpl"), "couple"),
    "fourty": "forty",
    "qtr": "quarter",
    "too": "to",
    "otherwise": "or",
    "else": "or",
    "upto": "until",
    "betw": "between",
    "btw": "between",
    "btwn": "between",
    "wknd": "weekend",
    "forthnight": "fortnight",
    "kitz": "kits",
    "kt": "kit",
    "kts": "kits",
    "oclock": "o'clock",
    "comming": "coming",
    "pair": "couple",
}

_PLAIN = words(
    "today tomorrow overmorrow tonight yesterday now week weeks day days night nights fortnight "
    "weekend next this last coming following upcoming every weekly other until from to at on in "
    "for between and or of the a an hour hours half quarter past minutes morning afternoon evening "
    "noon midnight o'clock am pm dozen couple few some several any all both none no more another "
    "extra additional please book need want would like have get reserve borrow take use can could "
    "may i we you us me my our your their his her it is are be will shall should with without also "
    "just only about around approximately sharp ish exactly after before lunch lunchtime school "
    "session meeting club practice training lesson class period plus minus including each instead "
    "hi hello hey there dear thanks think possible free available spare give out back take pass "
    "that these those them they by as so if not don't again off up into then than ok okay "
    "everything whole entire fleet lot two's ending"
)

KNOWN: frozenset[str] = frozenset(
    {
        *WEEKDAYS,
        *(day + "s" for day in WEEKDAYS),
        *MONTHS,
        *NUMBER_WORDS,
        *ORDINALS,
        *KIT,
        *PEOPLE,
        *GROUPS,
        *_PLAIN,
    }
)
"""Words that belong to the grammar: never a label, never put right."""

# Everyday words that are one slip away from one of the grammar's and mean something else.
_NOT_SLIPS = frozenset(
    words(
        "form fire then than there thee fine find file fiver kids kite kites nice none part parts "
        "mark mary jane fore forth sever money many monkey sunny unity "
        "united text test weak weekday weekdays house mouth night right light site"
    )
)

CORRECTABLE: tuple[str, ...] = tuple(
    sorted(
        word
        for word in {
            *WEEKDAYS,
            *(day + "s" for day in WEEKDAYS),
            *MONTHS,
            *NUMBER_WORDS,
            *KIT_MANY,
            "robot",
            "today",
            "tomorrow",
            "tonight",
            "yesterday",
            "until",
            "from",
            "between",
            "next",
            "every",
            "week",
            "weekend",
            "hour",
            "hours",
            "minutes",
            "half",
            "quarter",
            "past",
            "morning",
            "afternoon",
            "evening",
            "noon",
            "midnight",
            "midday",
            "couple",
            "dozen",
            "please",
            "some",
            "fortnight",
            "session",
            "meeting",
            "o'clock",
            "weekly",
        }
        if len(word) >= 4 and word not in {"sets", "june", "july", "bots"}
    )
)

KNOWN = KNOWN | _NOT_SLIPS
