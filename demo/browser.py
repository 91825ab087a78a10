"""A headless Chromium, spoken to by the WebDriver protocol (w3.org/TR/webdriver2), for pictures
of the page and for the test that uses it as a person would."""

from __future__ import annotations

import asyncio
import base64
import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp

from demo.stage import free_port

FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--hide-scrollbars", "--force-color-profile=srgb",
)  # fmt: skip
NAMES = ("chromium", "chromium-browser", "google-chrome")
TAB, ENTER, SHIFT = "\ue004", "\ue007", "\ue008"
PATIENCE = 10.0


def found() -> tuple[str, str] | None:
    """Return the browser and its driver on this machine, or None where one of them is missing."""
    browser = next(filter(None, map(shutil.which, NAMES)), None)
    driver = shutil.which("chromedriver")
    return (browser, driver) if browser and driver else None


class Browser:
    """One window; every method is one command of the protocol, or a few."""

    def __init__(self, client: aiohttp.ClientSession, session: str) -> None:
        self._client = client
        self._session = session

    async def _do(self, method: str, path: str, body: object = None) -> Any:
        async with self._client.request(method, self._session + path, json=body) as response:
            answer = await response.json()
        value = answer["value"]
        if isinstance(value, dict) and "error" in value:
            raise RuntimeError(f"{value['error']}: {value['message']}")
        return value

    async def open(self, url: str) -> None:
        """Load an address."""
        await self._do("POST", "/url", {"url": url})

    async def run(self, script: str, *arguments: Any) -> Any:
        """Run the body of a function in the page and return what it returns."""
        body = {"script": script, "args": list(arguments)}
        return await self._do("POST", "/execute/sync", body)

    async def until(self, script: str, *arguments: Any) -> Any:
        """Run it until it returns something true; TimeoutError after some seconds."""
        async with asyncio.timeout(PATIENCE):
            while True:
                if value := await self.run(script, *arguments):
                    return value
                await asyncio.sleep(0.05)

    async def type(self, keys: str, *, shift: bool = False) -> None:
        """Press keys one after the other, wherever the focus is, while holding Shift or not."""
        pressed = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        if shift:
            held = [{"type": kind, "value": SHIFT} for kind in ("keyDown", "keyUp")]
            pressed = [held[0], *pressed, held[1]]
        await self._do("POST", "/actions", {"actions": [
            {"type": "key", "id": "keyboard", "actions": pressed},
        ]})  # fmt: skip

    async def picture(self) -> bytes:
        """Return what the window shows, as PNG."""
        return base64.b64decode(await self._do("GET", "/screenshot"))

    async def command(self, name: str, **parameters: Any) -> Any:
        """Give one command of Chromium's own protocol."""
        return await self._do("POST", "/goog/cdp/execute", {"cmd": name, "params": parameters})

    async def size(self, width: int, height: int, *, dark: bool = False) -> None:
        """Make the page this large, in CSS pixels, and light or dark."""
        await self.command(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=1, mobile=width < 500,
        )  # fmt: skip
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        await self.command("Emulation.setEmulatedMedia", features=[scheme])


@asynccontextmanager
async def browser() -> AsyncIterator[Browser]:
    """A window of a browser with nothing remembered, closed at the end; LookupError: none here."""
    there = found()
    if there is None:
        raise LookupError("Chromium and chromedriver are needed and aren't both installed")
    program, driver = there
    port = free_port()
    folder = Path(tempfile.mkdtemp(prefix="browser-"))
    process = await asyncio.create_subprocess_exec(
        driver, f"--port={port}", stdout=asyncio.subprocess.DEVNULL,
        stderr=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    try:
        async with aiohttp.ClientSession() as client:
            url = f"http://127.0.0.1:{port}"
            session = await _session(client, url, program, folder)
            try:
                yield Browser(client, f"{url}/session/{session}")
            finally:
                await client.delete(f"{url}/session/{session}")
    finally:
        process.terminate()
        await process.wait()
        shutil.rmtree(folder, ignore_errors=True)


async def _session(client: aiohttp.ClientSession, url: str, program: str, folder: Path) -> str:
    options = {"binary": program, "args": [*FLAGS, f"--user-data-dir={folder}"]}
    wanted = {"capabilities": {"alwaysMatch": {"goog:chromeOptions": options}}}
    async with asyncio.timeout(PATIENCE):
        while True:
            try:
                async with client.post(f"{url}/session", json=wanted) as response:
                    answer = (await response.json())["value"]
                    break
            except aiohttp.ClientConnectionError:
                await asyncio.sleep(0.05)
    if "error" in answer:
        raise RuntimeError(answer["message"])
    return str(answer["sessionId"])
