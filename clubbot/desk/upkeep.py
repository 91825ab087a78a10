"""What is done every few hours: whatever is kept no longer than it is needed goes."""

from __future__ import annotations

from datetime import datetime, timedelta

from clubbot.desk import sending
from clubbot.store import ageing, clubs, evidence, forgetting, minding, schema, updates
from clubbot.store.engine import Store

_BUTTONS = timedelta(days=1)
_COPIES = timedelta(days=60)


def tidy(store: Store, now: datetime) -> None:
    """Delete what is settled, over or older than each club's settings keep it."""
    sending.upkeep(store, now)
    with store.write() as tx:
        forgetting.tidy(tx, now)
        updates.forget(tx, now)
        minding.drop_buttons(tx, now - _BUTTONS)
        every = clubs.everyone(tx)
    for row in every:
        kept = row.settings
        with store.write() as tx:
            clubs.lock(tx, row.id)
            evidence.delete_old_pictures(tx, row.id, now - timedelta(days=kept.keep_photos_days))
            ageing.drop_texts(tx, row.id, now - timedelta(days=kept.keep_texts_days))
            minding.drop_sent(tx, row.id, now - timedelta(days=kept.keep_messages_days))
            oldest = (now - timedelta(days=kept.keep_unseen_days)).date()
            for person in ageing.unseen(tx, row.id, oldest):
                forgetting.forget(tx, row.id, person, now)
    schema.drop_copies(store, now - _COPIES)
    ageing.wipe(store)
