"""The platform's refusals, in the shape and wording that its server uses.

Wording follows the open-source server (github.com/tdlib/telegram-bot-api, Client.cpp) where it
was seen there, and otherwise what that server passes through in capitals.
"""

from __future__ import annotations

from typing import Any


class ApiError(Exception):
    """A request that the platform refuses: an HTTP status, a description, extra parameters."""

    def __init__(self, code: int, description: str, **parameters: int) -> None:
        super().__init__(description)
        self.code = code
        self.description = description
        self.parameters = parameters

    def body(self) -> dict[str, Any]:
        """The JSON body that goes out with this refusal."""
        body: dict[str, Any] = {
            "ok": False,
            "error_code": self.code,
            "description": self.description,
        }
        if self.parameters:
            body["parameters"] = self.parameters
        return body


class MisuseError(ValueError):
    """Something that no person's client would let them do, asked of the stand-in."""


def bad_request(reason: str) -> ApiError:
    """A 400 whose reason starts in lower case, as the server prints it."""
    return ApiError(400, f"Bad Request: {reason}")


def forbidden(reason: str) -> ApiError:
    """A 403: the bot may not write there."""
    return ApiError(403, f"Forbidden: {reason}")


def conflict(reason: str) -> ApiError:
    """A 409: two ways of fetching updates at the same time."""
    return ApiError(409, f"Conflict: {reason}")


def too_many(seconds: int) -> ApiError:
    """A 429 that asks for `seconds` of silence."""
    return ApiError(429, f"Too Many Requests: retry after {seconds}", retry_after=seconds)


def upgraded(new_chat_id: int) -> ApiError:
    """The refusal for a group that has become the supergroup `new_chat_id`."""
    return ApiError(
        400,
        "Bad Request: group chat was upgraded to a supergroup chat",
        migrate_to_chat_id=new_chat_id,
    )
