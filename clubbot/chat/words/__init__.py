"""Results into texts and buttons: every word that people read stands in here.

`said` finds the wording of any result; a result without one is a bug that a test looks for.
"""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words import (
    absence,
    afterwards,
    answering,
    booking,
    busy,
    charging,
    claiming,
    club,
    counting,
    danger,
    exchange,
    fault,
    feed,
    fitting,
    group,
    handover,
    health,
    help,
    history,
    labels,
    longer,
    losing,
    lots,
    mending,
    minding,
    moving,
    notices,
    own_words,
    parts,
    people,
    set_up,
    stocktaking,
    storing,
    succession,
    supplier,
    testday,
    today,
    triage,
    versions,
    wearing,
)
from clubbot.chat.words.phrases import Reply, View, Wording
from clubbot.chat.words.refusals import refused
from clubbot.rules.model import Refused

SAID: dict[type, Wording] = {
    Refused: refused,
    **absence.SAID,
    **afterwards.SAID,
    **answering.SAID,
    **booking.SAID,
    **busy.SAID,
    **charging.SAID,
    **claiming.SAID,
    **club.SAID,
    **counting.SAID,
    **danger.SAID,
    **exchange.SAID,
    **fault.SAID,
    **feed.SAID,
    **fitting.SAID,
    **group.SAID,
    **handover.SAID,
    **help.SAID,
    **health.SAID,
    **history.SAID,
    **moving.SAID,
    **labels.SAID,
    **longer.SAID,
    **losing.SAID,
    **minding.SAID,
    **lots.SAID,
    **mending.SAID,
    **notices.SAID,
    **own_words.SAID,
    **parts.SAID,
    **people.SAID,
    **set_up.SAID,
    **succession.SAID,
    **stocktaking.SAID,
    **storing.SAID,
    **supplier.SAID,
    **testday.SAID,
    **today.SAID,
    **triage.SAID,
    **versions.SAID,
    **wearing.SAID,
}


def said(result: object, view: View) -> Reply:
    """Word a result for the one who asked."""
    return SAID[type(result)](result, view)


def together(results: Sequence[object], view: View) -> Reply:
    """Word several results as one message."""
    replies = [said(result, view) for result in results]
    return Reply(
        "\n\n".join(reply.text for reply in replies),
        tuple(row for reply in replies for row in reply.buttons),
    )
