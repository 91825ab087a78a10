"""Runs the stand-in alone: python -m demo.standin --port 8081."""

from __future__ import annotations

import argparse
import asyncio

from .standin import TOKEN, StandIn


async def serve(port: int, token: str, username: str, *, privacy: bool) -> None:
    """Serves until interrupted."""
    standin = StandIn(token=token, username=username, privacy=privacy)
    url = await standin.start(port)
    print(f"Stand-in for the Bot API on {url}")
    print(f"  CLUBBOT_API_URL={url} CLUBBOT_FILE_URL={url}/file CLUBBOT_TOKEN={token}")
    print(f"  people, chats, clock: {url}/control/state", flush=True)
    try:
        await asyncio.Event().wait()
    finally:
        await standin.stop()


def main() -> None:
    """Reads the command line."""
    parser = argparse.ArgumentParser(prog="python -m demo.standin", description=__doc__)
    parser.add_argument("--port", type=int, default=8081, help="0: any free port")
    parser.add_argument("--token", default=TOKEN)
    parser.add_argument("--username", default="club_kit_bot")
    parser.add_argument("--privacy-off", action="store_true", help="the bot reads whole groups")
    given = parser.parse_args()
    try:
        asyncio.run(serve(given.port, given.token, given.username, privacy=not given.privacy_off))
    except KeyboardInterrupt:
        print("Stopped.")


if __name__ == "__main__":
    main()
