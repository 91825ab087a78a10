"""Makes the README's picture of the chat page anew: python -m demo.picture

Plays the week and photographs the page as the helper sees it; Chromium and chromedriver must be
installed. The picture goes to demo/page/picture.png, or to the file named.
"""

from __future__ import annotations

import argparse
import asyncio
from pathlib import Path

from demo.browser import browser
from demo.page.routes import FOLDER
from demo.player import Player
from demo.script import read
from demo.stage import Stage
from demo.telling import Teller
from demo.week import WEEK

WHO = "Tess"
SIZE = (1100, 820)


async def take() -> bytes:
    """Return the picture, as PNG; LookupError without a browser, DiffersError without a story."""
    script = read(WEEK)
    async with Stage(script.start, script.zone) as stage, browser() as window:
        await Player(script, stage, Teller(lambda line: None)).play()
        person = stage.standin.platform.world.person(WHO)
        await window.size(*SIZE)
        await window.open(f"{stage.standin.base_url}/?person={person.id}&chat={person.id}")
        await window.until("return document.querySelectorAll('.entry').length > 10")
        return await window.picture()


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="python -m demo.picture", description=__doc__)
    parser.add_argument("file", nargs="?", type=Path, default=FOLDER / "picture.png")
    file = parser.parse_args().file
    file.write_bytes(asyncio.run(take()))
    print(f"{file}: {file.stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
