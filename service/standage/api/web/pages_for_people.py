"""The few pages that a person opens in a browser: the documentation, and what each sort
of problem means.

All they need is served by this service: they work in a hall without internet.
"""

from collections.abc import Callable, Mapping
from functools import cache
from html import escape
from importlib.resources import files
from typing import Any

import msgspec
from litestar import Request, Response
from litestar.handlers import HTTPRouteHandler, get
from litestar.params import FromPath

from standage.api.web.kept_files import KeptFile
from standage.api.web.problems import SORTS, Rejected, Sort

ASSETS = {
    "swagger-ui.css": "text/css",
    "swagger-ui-bundle.js": "text/javascript",
    "favicon-32x32.png": "image/png",
}
_DOCUMENTATION = files("standage.api.web").joinpath("documentation")
_STYLE = """
body { font: 1.1rem/1.5 system-ui, sans-serif; color: #1a1a1a;
  max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }
h1 { line-height: 1.2; } dt { font-weight: bold; margin-top: 1rem; } dd { margin: 0; }
a { color: #0b4f8a; } code { background: #eee; padding: 0 .2em; }
"""
_DOCS_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src"
    " 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none';"
    " frame-ancestors 'none'"
)
_PAGE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action"
    " 'none'; frame-ancestors 'none'"
)

PATHS = (
    "/",
    "/docs",
    "/docs/page.css",
    "/docs/start.js",
    *(f"/docs/assets/{name}" for name in ASSETS),
    "/openapi.json",
    "/problems",
    *(sort.path for sort in SORTS.values()),
)
"""Every address of this file, all open to anybody."""


def pages_for_people(document: Callable[[], bytes]) -> list[HTTPRouteHandler]:
    """Return the routes of the documentation page, its assets, the OpenAPI document and
    the problem pages.

    The document is made when it is first asked for: it takes a fifth of the time that
    the service needs to start.
    """
    kept = KeptFile(cache(document), "application/json", _PAGE_POLICY)

    @get(
        "/openapi.json",
        include_in_schema=False,
        sync_to_thread=True,
    )
    def openapi(request: Request[Any, Any, Any]) -> Response[bytes]:
        return kept.answer(request)

    return [openapi, home, docs, docs_file, asset, problems, problem]


@get("/", include_in_schema=False)
async def home() -> Response[bytes]:
    """Say what this is, and where to go on."""
    return _page(
        "Standage",
        "<p>This service knows beforehand whether a model railway's trains fit its"
        ' roads and take its curves.</p><p><a href="/docs">Documentation, with'
        ' everything to try out</a></p><p><a href="/problems">What each sort of problem'
        " means</a></p>",
    )


def _kept(path: str, media_type: str, *, policy: str) -> KeptFile:
    return KeptFile(_DOCUMENTATION.joinpath(path).read_bytes, media_type, policy)


_DOCS = _kept("page.html", "text/html", policy=_DOCS_POLICY)
_DOCS_FILES = {
    "page.css": _kept("page.css", "text/css", policy=_PAGE_POLICY),
    "start.js": _kept("start.js", "text/javascript", policy=_PAGE_POLICY),
}
_ASSETS = {
    name: _kept(f"swagger-ui/{name}", media_type, policy=_PAGE_POLICY)
    for name, media_type in ASSETS.items()
}


@get("/docs", include_in_schema=False, sync_to_thread=True)
def docs(request: Request[Any, Any, Any]) -> Response[bytes]:
    """Show the documentation page."""
    return _DOCS.answer(request)


@get("/docs/{name:str}", include_in_schema=False, sync_to_thread=True)
def docs_file(name: FromPath[str], request: Request[Any, Any, Any]) -> Response[bytes]:
    """Serve one of the documentation page's own files."""
    return _found(_DOCS_FILES, name).answer(request)


@get("/docs/assets/{name:str}", include_in_schema=False, sync_to_thread=True)
def asset(name: FromPath[str], request: Request[Any, Any, Any]) -> Response[bytes]:
    """Serve one of the files that the documentation page is shown by."""
    return _found(_ASSETS, name).answer(request)


def _found(kept: Mapping[str, KeptFile], name: str) -> KeptFile:
    if name not in kept:
        raise Rejected("not_found", "There is nothing at this address.")
    return kept[name]


@get("/problems", include_in_schema=False)
async def problems() -> Response[bytes]:
    """List every sort of problem."""
    rows = "".join(
        f'<dt><a href="{sort.path}">{sort.status} {escape(sort.title)}</a></dt>'
        for sort in SORTS.values()
    )
    return _page("Problems and what to do about them", f"<dl>{rows}</dl>")


@get("/problems/{slug:str}", include_in_schema=False)
async def problem(
    slug: FromPath[str], request: Request[Any, Any, Any]
) -> Response[bytes]:
    """Say what one sort of problem means and what to do about it."""
    sort = SORTS.get(slug.replace("-", "_"))
    if sort is None or sort.path != request.url.path:
        raise Rejected("not_found", "There is nothing at this address.")
    return _page(sort.title, _advice(sort))


def _advice(sort: Sort) -> str:
    return (
        f"<p>{escape(sort.advice)}</p><p>Status <code>{sort.status}</code>, type"
        f' <code>{escape(sort.path)}</code>.</p><p><a href="/problems">All problems</a>'
        ' · <a href="/docs">Documentation</a></p>'
    )


def _page(title: str, inner: str) -> Response[bytes]:
    page = (
        '<!doctype html><html lang="en"><head><meta'
        f' charset="utf-8"><title>{escape(title)}</title>'
        '<meta name="viewport" content="width=device-width,'
        f' initial-scale=1"><style>{_STYLE}</style></head>'
        f"<body><main><h1>{escape(title)}</h1>{inner}</main></body></html>"
    )
    return _answer(page.encode(), "text/html", policy=_PAGE_POLICY)


def _answer(body: bytes, media_type: str, *, policy: str) -> Response[bytes]:
    """Return an answer; the framework adds to a text's media type that it is UTF-8."""
    headers = {"content-security-policy": policy, "cache-control": "no-cache"}
    return Response(
        content=body,
        media_type=media_type,
        headers=headers,
    )


def document_bytes(document: object) -> bytes:
    """Return the OpenAPI document as it is served: without a space too many."""
    return msgspec.json.encode(document)


def document_to_read(document: object) -> bytes:
    """Return the OpenAPI document as it is committed: indented, one newline at
    the end.
    """
    return msgspec.json.format(document_bytes(document), indent=2) + b"\n"
