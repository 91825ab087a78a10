"""answerCallbackQuery."""

from __future__ import annotations

from datetime import timedelta

from ..engine import Platform
from ..errors import bad_request
from ..markup_html import utf16_length
from ..parameters import Params
from .registry import method

MAX_ANSWER = 200
# The platform publishes no figure; what it says when it is too late is from its server's source.
ANSWERABLE = timedelta(seconds=150)
TOO_OLD = "query is too old and response timeout expired or query ID is invalid"


@method("answerCallbackQuery")
def answer_callback_query(platform: Platform, params: Params) -> bool:
    """Ends a tap's waiting wheel, with a short text or none; once only."""
    tap = platform.taps.get(params.text("callback_query_id"))
    text = params.text("text")
    if utf16_length(text) > MAX_ANSWER:
        raise bad_request("MESSAGE_TOO_LONG")
    if tap is None or tap.answered or platform.now() - tap.at >= ANSWERABLE:
        raise bad_request(TOO_OLD)
    tap.answered, tap.text, tap.alert = True, text, params.flag("show_alert")
    platform.journal.event(
        "answer", chat_id=tap.message.chat.id, person_id=tap.person.id, text=text, alert=tap.alert
    )
    return True
