"""A web endpoint: POST a build as JSON or TOML to /check, and get findings and verdicts.

Run `pip install starlette uvicorn` and `uvicorn --app-dir examples/embed endpoint:app`. One
workshop serves all requests: it never changes, and the check runs in a thread beside the loop.
"""

from __future__ import annotations

import json
from typing import Any, cast

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from variants import open_workshop

from riglint import Unreadable, to_plain

MOST_BYTES = 64 * 1024
SHOP = open_workshop()


async def check(request: Request) -> JSONResponse:
    """200 with the result, 422 with the problems of what cannot be read, 413 if it is too long."""
    body = bytearray()
    try:
        async for chunk in request.stream():
            body += chunk
            if len(body) > MOST_BYTES:
                return JSONResponse({"problems": [{"message": "the build is too long"}]}, 413)
    except ClientDisconnect:
        return JSONResponse(None, 400)  # nobody reads it
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    try:
        build = _build(bytes(body), kind == "application/json")
        report = await run_in_threadpool(SHOP.check, build, "request")
    except Unreadable as error:
        return JSONResponse({"problems": [to_plain(problem) for problem in error.problems]}, 422)
    except (ValueError, RecursionError):
        return JSONResponse({"problems": [{"message": "this is no JSON object or no text"}]}, 422)
    problems = [to_plain(problem) for problem in report.judgment.problems]
    return JSONResponse({"passes": report.passes(), "problems": problems, **to_plain(report)})


def _build(body: bytes, is_json: bool) -> str | dict[str, Any]:
    if not is_json:
        return body.decode()
    values: Any = json.loads(body)
    if not isinstance(values, dict):
        raise ValueError("no object")
    return cast("dict[str, Any]", values)


app = Starlette(routes=[Route("/check", check, methods=["POST"])])
