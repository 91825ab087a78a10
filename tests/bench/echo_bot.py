"""The bare echo bot that the bot is measured against: the same library, one message an update."""

from __future__ import annotations

import os
from typing import Any

from telegram import Update
from telegram.ext import ApplicationBuilder, MessageHandler, filters

IN_FLIGHT = 8


async def echo(update: Update, context: Any) -> None:
    if update.message is not None:
        await context.bot.send_message(update.message.chat.id, update.message.text or "")


def main() -> None:
    application = (
        ApplicationBuilder()
        .token(os.environ["CLUBBOT_TOKEN"])
        .base_url(os.environ["CLUBBOT_API_URL"] + "/bot")
        .concurrent_updates(IN_FLIGHT)
        .build()
    )
    application.add_handler(MessageHandler(filters.ALL, echo))
    application.run_polling(allowed_updates=["message"])


if __name__ == "__main__":
    main()
