"""A club's zone: which of two numbers is the month, and what a wall time means as an instant."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Literal

from clubbot.rules.reading.vocabulary import words

Order = Literal["day-first", "month-first", "either"]

# Countries whose people write the month before the day. Source: the Unicode CLDR date patterns,
# as dateparser's locale data carries them (US, AS, GU, MH, MP, PH, PR, UM, VI, PA: month, day,
# year; JP, CN, KR, KP, TW, HU, LT, MN: year, month, day, so the month comes first of two).
# The zones of each country are those of zone.tab in tzdata; links that name the same zones follow.
_MONTH_FIRST = frozenset(
    words(
        """
    America/New_York America/Detroit America/Chicago America/Menominee America/Denver America/Boise
    America/Phoenix America/Los_Angeles America/Anchorage America/Juneau America/Sitka
    America/Metlakatla America/Yakutat America/Nome America/Adak Pacific/Honolulu
    Pacific/Pago_Pago Pacific/Guam Pacific/Majuro Pacific/Kwajalein Pacific/Saipan Asia/Manila
    America/Puerto_Rico Pacific/Midway Pacific/Wake America/St_Thomas America/Panama
    Asia/Tokyo Asia/Shanghai Asia/Urumqi Asia/Seoul Asia/Pyongyang Asia/Taipei
    Europe/Budapest Europe/Vilnius Asia/Ulaanbaatar Asia/Hovd
    America/Fort_Wayne America/Indianapolis America/Louisville America/Knox_IN America/Shiprock
    America/Atka America/Virgin Pacific/Samoa Pacific/Johnston Navajo EST5EDT CST6CDT MST7MDT
    PST8PDT Japan PRC ROC ROK Kwajalein
    Asia/Chongqing Asia/Chungking Asia/Harbin Asia/Kashgar Asia/Ulan_Bator
    """
    )
)
_MONTH_FIRST_REGIONS = ("US/", "America/Indiana/", "America/Kentucky/", "America/North_Dakota/")

# Canada writes both ways (CLDR has year-month-day for English, day first for French), so a pair
# of numbers there is offered both ways.
_EITHER = frozenset(
    words(
        """
    America/St_Johns America/Halifax America/Glace_Bay America/Moncton America/Goose_Bay
    America/Blanc-Sablon America/Toronto America/Iqaluit America/Atikokan America/Winnipeg
    America/Resolute America/Rankin_Inlet America/Regina America/Swift_Current America/Edmonton
    America/Cambridge_Bay America/Inuvik America/Vancouver America/Creston America/Dawson_Creek
    America/Fort_Nelson America/Whitehorse America/Dawson America/Montreal America/Nipigon
    America/Thunder_Bay America/Rainy_River America/Pangnirtung America/Yellowknife
    """
    )
)


def date_order(zone: str) -> Order:
    """Whether 9/10 is 9 October or September 10 for the people of this IANA zone."""
    if zone in _MONTH_FIRST or zone.startswith(_MONTH_FIRST_REGIONS):
        return "month-first"
    if zone in _EITHER or zone.startswith("Canada/"):
        return "either"
    return "day-first"


def instant(wall: datetime, like: datetime) -> datetime:
    """A naive wall time as an aware one in the zone of `like`, the way RFC 5545, 3.3.5 has it.

    A time that happens twice is its first occurrence; one that is skipped takes the offset from
    before the gap, so that it comes out as a wall time that exists.
    """
    placed = wall.replace(tzinfo=like.tzinfo, fold=0)
    return placed.astimezone(UTC).astimezone(like.tzinfo)
