"""Files that people and the bot sent: ids, download paths, picture sizes."""

from __future__ import annotations

import base64
import struct
import zlib
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any

from .errors import bad_request
from .parameters import Upload

MAX_DOWNLOAD = 20_000_000
MAX_UPLOAD = 50_000_000
MAX_PHOTO = 10_000_000
PREVIEWS = (90, 320, 800, 1280)


@dataclass(frozen=True, slots=True)
class Stored:
    """One file, or one size of a picture."""

    file_id: str
    unique_id: str
    path: str
    content: bytes
    kind: str
    fields: dict[str, Any]
    """The object (PhotoSize, Video or Document) that describes it in messages."""


@dataclass(slots=True)
class Files:
    """All files, found by id or by download path."""

    by_id: dict[str, Stored] = field(default_factory=dict)
    by_path: dict[str, Stored] = field(default_factory=dict)
    groups: dict[str, list[Stored]] = field(default_factory=dict)
    """A picture's sizes, smallest first, by the id of each."""

    def photo(self, content: bytes) -> list[dict[str, Any]]:
        """The PhotoSize objects of a picture, smallest first; not a picture: refused."""
        if len(content) > MAX_PHOTO:
            raise bad_request("file is too big: Photo is too big")
        size = picture_size(content)
        if size is None:
            raise bad_request("IMAGE_PROCESS_FAILED")
        width, height = size
        if width + height > 10_000 or max(size) > 20 * min(size):
            raise bad_request("PHOTO_INVALID_DIMENSIONS")
        longest = max(size)
        edges = [edge for edge in PREVIEWS if edge < longest] + [min(longest, PREVIEWS[-1])]
        sizes = []
        for edge in sorted(set(edges)):
            scale = edge / longest
            dimensions = {
                "width": max(1, round(width * scale)),
                "height": max(1, round(height * scale)),
            }
            sizes.append(self._store("photo", content, "photos", ".jpg", dimensions))
        for stored in sizes:
            self.groups[stored.file_id] = sizes
        return [stored.fields for stored in sizes]

    def video(self, content: bytes, seconds: int = 4) -> dict[str, Any]:
        """The Video object of a film, with a grey still."""
        if not content:
            raise bad_request("file must be non-empty")
        still = self.photo(plain_picture(320, 240))[-1]
        facts = {"width": 640, "height": 480, "duration": seconds, "thumbnail": still}
        return self._store("video", content, "videos", ".mp4", facts).fields

    def document(self, upload: Upload) -> dict[str, Any]:
        """The Document object of a file."""
        if not upload.content:
            raise bad_request("file must be non-empty")
        suffix = PurePosixPath(upload.name).suffix
        facts = {"file_name": upload.name, "mime_type": upload.mime}
        return self._store("document", upload.content, "documents", suffix, facts).fields

    def reuse(self, file_id: str, kind: str) -> Any:
        """What a message shows for a file that is known already."""
        stored = self.by_id.get(file_id)
        if stored is None:
            raise bad_request("wrong file identifier/HTTP URL specified")
        if stored.kind != kind:
            raise bad_request(f"can't use file of type {stored.kind.title()} as {kind.title()}")
        if kind == "photo":
            return [size.fields for size in self.groups[file_id]]
        return stored.fields

    def _store(
        self, kind: str, content: bytes, folder: str, suffix: str, facts: dict[str, Any]
    ) -> Stored:
        number = len(self.by_id)
        unique = _opaque(f"{kind[0]}{number:05d}")
        file_id = "AgAC" + _opaque(f"standin file {kind} {number:08d}")
        described = {"file_id": file_id, "file_unique_id": unique, **facts}
        described["file_size"] = len(content)
        path = f"{folder}/file_{number}{suffix}"
        stored = Stored(file_id, unique, path, content, kind, described)
        self.by_id[file_id] = self.by_path[path] = stored
        return stored


def _opaque(text: str) -> str:
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def picture_size(content: bytes) -> tuple[int, int] | None:
    """Width and height in pixels of a PNG, GIF or JPEG; None for anything else."""
    if content.startswith(b"\x89PNG\r\n\x1a\n") and len(content) >= 24:
        return struct.unpack(">II", content[16:24])
    if content[:6] in (b"GIF87a", b"GIF89a") and len(content) >= 10:
        return struct.unpack("<HH", content[6:10])
    return _jpeg_size(content) if content.startswith(b"\xff\xd8") else None


def _jpeg_size(content: bytes) -> tuple[int, int] | None:
    """Walks the segments to the frame header (ITU-T T.81, table B.1 and B.2.2)."""
    at = 2
    while at + 9 <= len(content) and content[at] == 0xFF:
        marker = content[at + 1]
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack(">HH", content[at + 5 : at + 9])
            return width, height
        at += 2 + int(struct.unpack(">H", content[at + 2 : at + 4])[0])
    return None


def plain_picture(width: int = 640, height: int = 480, grey: int = 200) -> bytes:
    """A PNG of one grey, for people who send a photo of no matter what."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        check = zlib.crc32(kind + body)
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = (b"\x00" + bytes([grey]) * width) * height
    start = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header)
    return start + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
