"""The HTTP side: requests come and answers go in the platform's shapes."""

from __future__ import annotations

import asyncio
import inspect
import json
from typing import Any
from urllib.parse import urlsplit

from aiohttp import web

from .engine import Platform
from .errors import ApiError, too_many
from .faults import Fault, Kind
from .journal import Call
from .methods import METHODS
from .parameters import Params, Upload, as_text, check_encoding
from .webhook import loopback_host

MAX_BODY = 60_000_000
PLATFORM = web.AppKey("platform", Platform)


def application(platform: Platform) -> web.Application:
    """The server of one stand-in; requests from other than loopback names are refused."""
    app = web.Application(client_max_size=MAX_BODY, middlewares=[_loopback_only])
    app[PLATFORM] = platform
    app.router.add_route("*", "/bot{token:[^/]+}/{method}", _method)
    app.router.add_get("/file/bot{token:[^/]+}/{path:.+}", _download)
    return app


@web.middleware
async def _loopback_only(request: web.Request, handler: Any) -> web.StreamResponse:
    """Keeps out web pages of other origins, which could reach a loopback port by name."""
    origin = request.headers.get("Origin", "")
    for url in (f"//{request.host}", origin):
        if url and not loopback_host(urlsplit(url).hostname):
            raise web.HTTPForbidden(text="the stand-in talks to this machine only")
    response: web.StreamResponse = await handler(request)
    return response


def _json(body: Any, status: int = 200) -> web.Response:
    return web.json_response(body, status=status)


def _refused(error: ApiError) -> web.Response:
    response = _json(error.body(), error.code)
    if "retry_after" in error.parameters:
        response.headers["Retry-After"] = str(error.parameters["retry_after"])
    return response


def _check_token(platform: Platform, token: str) -> ApiError | None:
    if token == platform.token:
        return None
    if ":" not in token or token.startswith("0"):
        return ApiError(401, "Unauthorized: invalid token specified")
    return ApiError(401, "Unauthorized")


async def read_params(request: web.Request) -> Params:
    """Query, form, JSON or multipart body as one set of parameters."""
    values: dict[str, str] = dict(request.query)
    uploads: dict[str, Upload] = {}
    if request.content_type == "application/json":
        raw = await request.read()
        try:
            body = json.loads(raw or b"{}")
        except ValueError as error:
            raise ApiError(400, "Bad Request: can't parse JSON object") from error
        if not isinstance(body, dict):
            raise ApiError(400, "Bad Request: JSON object expected")
        values |= {name: as_text(value) for name, value in body.items() if value is not None}
    else:
        for name, value in (await request.post()).items():
            if isinstance(value, web.FileField):
                uploads[name] = Upload(value.filename, value.file.read(), value.content_type)
            else:
                values[name] = str(value)
    check_encoding(values)
    return Params(values, uploads)


async def _method(request: web.Request) -> web.StreamResponse:
    platform = request.app[PLATFORM]
    if error := _check_token(platform, request.match_info["token"]):
        return _refused(error)
    known = METHODS.get(request.match_info["method"].lower())
    if known is None:
        return _refused(ApiError(404, "Not Found"))
    try:
        params = await read_params(request)
    except ApiError as error:
        return _refused(error)
    call = await execute(platform, known[0], params)
    if call.fault in (Kind.DROP_BEFORE, Kind.DROP_AFTER):
        return _broken(request)
    if call.error:
        if call.as_page:
            page = f"<html><title>{call.error.code}</title></html>"
            return web.Response(status=call.error.code, text=page, content_type="text/html")
        return _refused(call.error)
    return _json({"ok": True, "result": call.result})


def _broken(request: web.Request) -> web.Response:
    """Breaks the connection; what is returned reaches nobody."""
    if request.transport is not None:
        request.transport.abort()
    return web.Response()


async def execute(platform: Platform, method: str, params: Params) -> Call:
    """Carries out one request, with the faults that were asked for, and notes how it went."""
    files = {name: upload.content for name, upload in params.uploads.items()}
    call = Call(method, params.decoded(), files, platform.now())
    fault = platform.faults.take(method, params.text("chat_id"))
    call.fault = str(fault.kind) if fault else None
    polling = method == "getUpdates"
    if platform.validator:
        platform.validator.request(method, call.params, list(files))
    if not polling:
        platform.journal.calls.append(call)
        platform.journal.open_calls += 1
    try:
        await _carry_out(platform, call, params, fault)
    finally:
        call.done = True
        if not polling:
            platform.journal.open_calls -= 1
            platform.journal.event("call", method=method)
        platform.journal.touch()
    if platform.validator and call.error is None and call.fault != Kind.DROP_BEFORE:
        platform.validator.answer(method, call.result)
    return call


async def _carry_out(platform: Platform, call: Call, params: Params, fault: Fault | None) -> None:
    match fault.kind if fault else None:
        case Kind.DROP_BEFORE:
            return
        case Kind.RETRY_AFTER if fault:
            call.error = too_many(max(1, int(fault.seconds)))
            return
        case Kind.ERROR if fault:
            call.error = ApiError(fault.status, fault.reason)
            call.as_page = fault.html
            return
    try:
        result = METHODS[call.method.lower()][1](platform, params)
        call.result = await result if inspect.isawaitable(result) else result
    except ApiError as error:
        call.error = error
    if fault and fault.kind is Kind.DELAY:
        await asyncio.sleep(fault.seconds)


async def _download(request: web.Request) -> web.StreamResponse:
    platform = request.app[PLATFORM]
    if error := _check_token(platform, request.match_info["token"]):
        return _refused(error)
    fault = platform.faults.take("download", "")
    if fault and fault.kind is Kind.ERROR:
        return _refused(ApiError(fault.status, fault.reason))
    if fault and fault.kind is Kind.DELAY:
        await asyncio.sleep(fault.seconds)
    elif fault:
        return _broken(request)
    stored = platform.files.by_path.get(request.match_info["path"])
    if stored is None:
        return _refused(ApiError(404, "Not Found"))
    return web.Response(body=stored.content, content_type="application/octet-stream")
