"""sendPhoto, sendVideo, sendDocument, sendMediaGroup, getFile."""

from __future__ import annotations

from typing import Any

from .. import render
from ..access import find_place
from ..engine import Platform
from ..entities import caption
from ..errors import bad_request
from ..files import MAX_DOWNLOAD, MAX_UPLOAD
from ..parameters import Params, Upload, as_text
from .registry import method
from .sending import send

ALBUM_SIZE = (2, 10)


def medium(platform: Platform, params: Params, kind: str, value: str | None = None) -> Any:
    """The PhotoSize list or Document behind an upload, an attachment or a known file's id."""
    value = params.text(kind) if value is None else value
    upload = params.uploads.get(kind)
    if value.startswith("attach://"):
        upload = params.uploads.get(value.removeprefix("attach://"))
        if upload is None:
            raise bad_request(f"there is no {kind} in the request")
    if upload is None:
        if not value:
            raise bad_request(f"there is no {kind} in the request")
        return platform.files.reuse(value, kind)
    return stored(platform, kind, upload)


def stored(platform: Platform, kind: str, upload: Upload) -> Any:
    """Keeps an upload and returns what messages show of it."""
    if len(upload.content) > MAX_UPLOAD:
        raise bad_request("file is too big")
    if kind == "photo":
        return platform.files.photo(upload.content)
    if kind == "video":
        return platform.files.video(upload.content)
    return platform.files.document(upload)


@method("sendPhoto")
def send_photo(platform: Platform, params: Params) -> dict[str, Any]:
    """A picture, maybe with a caption."""
    return _send_medium(platform, params, "photo")


@method("sendVideo")
def send_video(platform: Platform, params: Params) -> dict[str, Any]:
    """A film, maybe with a caption."""
    return _send_medium(platform, params, "video")


@method("sendDocument")
def send_document(platform: Platform, params: Params) -> dict[str, Any]:
    """A file, maybe with a caption."""
    return _send_medium(platform, params, "document")


def _send_medium(platform: Platform, params: Params, kind: str) -> dict[str, Any]:
    content = {kind: medium(platform, params, kind), **caption(params)}
    return render.message(platform, send(platform, params, content))


def input_media(platform: Platform, params: Params, item: Any) -> dict[str, Any]:
    """The content that one InputMedia object stands for."""
    if not isinstance(item, dict) or item.get("type") not in ("photo", "document"):
        raise bad_request("can't parse InputMedia: type must be photo or document here")
    kind = item["type"]
    fields = ("caption", "parse_mode", "caption_entities")
    texts = {name: as_text(item[name]) for name in fields if item.get(name)}
    shown = medium(platform, params, kind, str(item.get("media", "")))
    return {kind: shown, **caption(Params(texts))}


@method("sendMediaGroup")
def send_media_group(platform: Platform, params: Params) -> list[dict[str, Any]]:
    """An album: messages of their own that share a media_group_id."""
    items = params.json("media", "media")
    if not isinstance(items, list) or not ALBUM_SIZE[0] <= len(items) <= ALBUM_SIZE[1]:
        raise bad_request("media group must include 2-10 items" if items else "media is empty")
    contents = [input_media(platform, params, item) for item in items]
    if len({"photo" in content for content in contents}) > 1:
        raise bad_request("document can't be mixed with other media types")
    place = find_place(platform, params)
    album = next_album(platform)
    return [
        render.message(
            platform,
            platform.post(
                place.chat, None, content, reply_to=place.reply_to, thread=place.thread,
                album=album,
            ),
        )
        for content in contents
    ]  # fmt: skip


def next_album(platform: Platform) -> str:
    """An id that no album had before."""
    platform.albums += 1
    return str(13_500_000_000_000_000 + platform.albums)


@method("getFile")
def get_file(platform: Platform, params: Params) -> dict[str, Any]:
    """Where a file can be downloaded."""
    stored_file = platform.files.by_id.get(params.text("file_id"))
    if stored_file is None:
        raise bad_request("invalid file_id")
    if len(stored_file.content) > MAX_DOWNLOAD:
        raise bad_request("file is too big")
    return {
        "file_id": stored_file.file_id,
        "file_unique_id": stored_file.unique_id,
        "file_size": len(stored_file.content),
        "file_path": stored_file.path,
    }
