"""What the person who runs the bot decides: read once from the environment or a .env file."""

from __future__ import annotations

import ipaddress
import re
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, NamedTuple, Self
from urllib.parse import urlsplit

import platformdirs
from pydantic import Field, SecretStr, ValidationError, field_validator, model_validator
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

REAL_PLATFORM = "https://api.telegram.org"
_REAL_TOKEN = re.compile(r"\d{6,}:[A-Za-z0-9_-]{30,}")
_ANY_TOKEN = re.compile(r"\d+:[A-Za-z0-9_-]+")
_SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}")


class CannotRun(Exception):
    """It can't be done like this; the text is one line that says what to do."""


class Address(NamedTuple):
    """Where to listen."""

    host: str
    port: int


def data_folder() -> Path:
    """Return where the club's database is kept unless another one is named."""
    return platformdirs.user_data_path("clubbot", appauthor=False)


class Settings(BaseSettings):
    """Each field is the environment variable of the same name after CLUBBOT_."""

    model_config = SettingsConfigDict(
        env_prefix="CLUBBOT_",
        env_file=".env",
        env_file_encoding="utf-8",
        env_ignore_empty=True,
        extra="ignore",
        frozen=True,
        hide_input_in_errors=True,
    )

    token: SecretStr
    api_url: str = REAL_PLATFORM
    file_url: str = ""
    database_url: str = Field(
        default_factory=lambda: f"sqlite:///{(data_folder() / 'club.sqlite').as_posix()}"
    )
    webhook_url: str | None = None
    webhook_secret: SecretStr | None = None
    webhook_listen: Annotated[Address, NoDecode] = Address("127.0.0.1", 8443)
    clock: datetime | None = None
    clock_listen: Annotated[Address | None, NoDecode] = None
    sends_per_second: float | None = None

    @property
    def real(self) -> bool:
        """True when the bot talks to the platform itself and not to another server."""
        return urlsplit(self.api_url).hostname == urlsplit(REAL_PLATFORM).hostname

    @property
    def files(self) -> str:
        """The part of a file's address before /bot<token>."""
        return self.file_url or f"{self.api_url}/file"

    @field_validator("api_url", "file_url", "webhook_url")
    @classmethod
    def _an_address(cls, value: str | None) -> str | None:
        if not value:
            return value
        try:
            parts = urlsplit(value)
            usable = parts.scheme in ("http", "https") and parts.hostname and parts.port != 0
        except ValueError:
            usable = False
        if not usable:
            raise ValueError("must be an address like https://host or http://127.0.0.1:8081")
        return value.rstrip("/")

    @field_validator("database_url")
    @classmethod
    def _a_database(cls, value: str) -> str:
        if not value.startswith(("sqlite:///", "postgresql://", "postgres://")):
            raise ValueError(
                "must be like sqlite:////folder/club.sqlite or postgresql://user@host/name"
            )
        return value

    @field_validator("webhook_listen", "clock_listen", mode="before")
    @classmethod
    def _host_and_port(cls, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        host, colon, port = value.rpartition(":")
        if not (colon and host and port.isdigit() and int(port) < 65536):
            raise ValueError("must be host:port, such as 127.0.0.1:8090")
        return Address(host.strip("[]"), int(port))

    @field_validator("clock", mode="before")
    @classmethod
    def _a_moment(cls, value: Any) -> Any:
        if value is None:
            return None
        try:
            moment = datetime.fromisoformat(value) if isinstance(value, str) else value
        except ValueError:
            moment = None
        if isinstance(moment, datetime) and moment.tzinfo is not None:
            return moment
        raise ValueError("must be a moment with its offset, such as 2026-10-02T13:00+01:00")

    @field_validator("sends_per_second")
    @classmethod
    def _a_rate(cls, value: float | None) -> float | None:
        if value is not None and not 0 < value <= 1000:
            raise ValueError("must be more than 0 and at most 1000")
        return value

    @model_validator(mode="after")
    def _together(self) -> Self:
        whole = _REAL_TOKEN if self.real else _ANY_TOKEN
        if not whole.fullmatch(self.token.get_secret_value()):
            raise ValueError(
                "CLUBBOT_TOKEN doesn't look like a bot token (digits, a colon, letters); "
                "copy it again from the chat in which you made the bot"
            )
        if self.real and (self.clock or self.clock_listen):
            raise ValueError(
                "CLUBBOT_CLOCK and CLUBBOT_CLOCK_LISTEN are for demos and tests; remove them, "
                "or set CLUBBOT_API_URL to a stand-in"
            )
        if self.clock_listen and not self.clock:
            raise ValueError("CLUBBOT_CLOCK_LISTEN needs CLUBBOT_CLOCK, where the clock starts")
        if self.clock_listen and not _loopback(self.clock_listen.host):
            raise ValueError(
                "CLUBBOT_CLOCK_LISTEN must be a loopback address, such as 127.0.0.1:8090"
            )
        return self._webhook_together()

    def _webhook_together(self) -> Self:
        if not self.webhook_url:
            return self
        if self.real and not self.webhook_url.startswith("https://"):
            raise ValueError("CLUBBOT_WEBHOOK_URL must start with https://")
        secret = self.webhook_secret.get_secret_value() if self.webhook_secret else ""
        if not _SECRET.fullmatch(secret):
            raise ValueError(
                "CLUBBOT_WEBHOOK_URL needs CLUBBOT_WEBHOOK_SECRET: "
                "1 to 256 letters, digits, _ or -, hard to guess"
            )
        return self


def load() -> Settings:
    """Read the settings; raises CannotRun, which never repeats a secret."""
    try:
        return Settings()  # type: ignore[call-arg]  # the environment has the rest
    except ValidationError as error:
        first = error.errors(include_input=False, include_url=False)[0]
    except (OSError, UnicodeDecodeError) as error:
        raise CannotRun(f"the .env file can't be read: {error}") from None
    if first["type"] == "missing":
        raise CannotRun(
            "CLUBBOT_TOKEN is missing: put the bot's token into the environment or a .env file"
        )
    reason = str(first.get("ctx", {}).get("error", first["msg"]))
    name = f"CLUBBOT_{str(first['loc'][0]).upper()} " if first["loc"] else ""
    raise CannotRun(name + reason)


def _loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
