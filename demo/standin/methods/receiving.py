"""getUpdates and the webhook's settings."""

from __future__ import annotations

import re
from typing import Any

from ..engine import Platform
from ..errors import bad_request
from ..parameters import Params
from ..updates import MAX_LIMIT, MAX_TIMEOUT
from ..webhook import loopback_url
from .registry import method

FAR = 2**31 - 1


def _allow(platform: Platform, params: Params) -> None:
    kinds = params.json("allowed_updates", "allowed updates")
    platform.updates.allow(kinds if isinstance(kinds, list) else None)


@method("getUpdates")
async def get_updates(platform: Platform, params: Params) -> list[dict[str, Any]]:
    """The updates that wait, by long poll."""
    limit = params.integer("limit", MAX_LIMIT, 1, MAX_LIMIT)
    offset = params.integer("offset", 0, -FAR, FAR)
    timeout = params.integer("timeout", 0, 0, MAX_TIMEOUT)
    _allow(platform, params)
    return await platform.updates.fetch(offset, limit, timeout)


@method("setWebhook")
def set_webhook(platform: Platform, params: Params) -> bool:
    """From now on updates are posted to a loopback address; an empty one ends that."""
    url = params.text("url")
    if not url:
        return _no_webhook(platform, params)
    if not loopback_url(url):
        raise bad_request("bad webhook: the stand-in delivers to loopback addresses only")
    secret = params.text("secret_token")
    if secret and not re.fullmatch(r"[A-Za-z0-9_-]{1,256}", secret):
        raise bad_request("secret token contains unallowed characters")
    _allow(platform, params)
    if params.flag("drop_pending_updates"):
        platform.updates.drop()
    platform.updates.end_poll("terminated by setWebhook request")
    most = params.integer("max_connections", 40, 1, 100)
    platform.webhook.start(url, secret, most)
    return True


@method("deleteWebhook")
def delete_webhook(platform: Platform, params: Params) -> bool:
    """Updates wait for getUpdates again."""
    return _no_webhook(platform, params)


def _no_webhook(platform: Platform, params: Params) -> bool:
    platform.webhook.stop()
    if params.flag("drop_pending_updates"):
        platform.updates.drop()
    return True


@method("getWebhookInfo")
def get_webhook_info(platform: Platform, params: Params) -> dict[str, Any]:
    """Where updates go and how that went."""
    platform.updates.expire()
    hook = platform.webhook
    info: dict[str, Any] = {
        "url": hook.url,
        "has_custom_certificate": False,
        "pending_update_count": len(platform.updates.waiting),
        "allowed_updates": sorted(platform.updates.allowed),
    }
    if hook.url:
        info |= {"max_connections": hook.max_connections, "ip_address": "127.0.0.1"}
    if hook.last_error:
        info |= {"last_error_date": hook.last_error_date, "last_error_message": hook.last_error}
    return info
