"""The few pages that a person opens in a browser: the documentation, and what each sort
of problem means.

All they need is served by this service: they work in a hall without internet.
"""

from collections.abc import Callable
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

import msgspec
from litestar import Request, Response
from litestar.handlers import HTTPRouteHandler, get
from litestar.params import FromPath
from swagger_ui_bundle import swagger_ui_path

from standage.api.web.problems import SORTS, Rejected, Sort

ASSETS = {
    "swagger-ui.css": "text/css",
    "swagger-ui-bundle.js": "text/javascript",
    "swagger-ui-standalone-preset.js": "text/javascript",
    "favicon-32x32.png": "image/png",
}
START_SCRIPT = """window.addEventListener("load", () => {
  window.ui = SwaggerUIBundle({
    url: "/openapi.json",
    dom_id: "#ui",
    deepLinking: true,
    persistAuthorization: false,
    presets: [SwaggerUIBundle.presets.apis, SwaggerUIStandalonePreset],
    layout: "BaseLayout",
    validatorUrl: null,
    docExpansion: "list",
    defaultModelsExpandDepth: 0,
  });
});
"""
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
    made = cache(document)

    @get("/openapi.json", include_in_schema=False, sync_to_thread=True)
    def openapi() -> Response[bytes]:
        return _answer(made(), "application/json", policy=_PAGE_POLICY)

    return [openapi, home, docs, start_script, asset, problems, problem]


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


@get("/docs", include_in_schema=False)
async def docs() -> Response[bytes]:
    """Show the documentation page."""
    page = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Standage:'
        ' documentation</title><meta name="viewport" content="width=device-width,'
        ' initial-scale=1"><link rel="icon" href="/docs/assets/favicon-32x32.png"><link'
        ' rel="stylesheet" href="/docs/assets/swagger-ui.css"></head><body><div'
        ' id="ui"></div><script'
        ' src="/docs/assets/swagger-ui-bundle.js"></script><script'
        ' src="/docs/assets/swagger-ui-standalone-preset.js"></script><script'
        ' src="/docs/start.js"></script></body></html>'
    )
    return _answer(page.encode(), "text/html", policy=_DOCS_POLICY)


@get("/docs/start.js", include_in_schema=False)
async def start_script() -> Response[bytes]:
    """Start the documentation page: in a file of its own, so that the page needs no
    inline script.
    """
    return _answer(
        START_SCRIPT.encode(), ASSETS["swagger-ui-bundle.js"], policy=_PAGE_POLICY
    )


@get("/docs/assets/{name:str}", include_in_schema=False, sync_to_thread=True)
def asset(name: FromPath[str]) -> Response[bytes]:
    """Serve one of the documentation page's own files."""
    if name not in ASSETS:
        raise Rejected("not_found", "There is nothing at this address.")
    return _answer(
        (Path(swagger_ui_path) / name).read_bytes(), ASSETS[name], policy=_PAGE_POLICY
    )


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
    return Response(content=body, media_type=media_type, headers=headers)


def document_bytes(document: object) -> bytes:
    """Return the OpenAPI document as it is served and committed: indented, in its own
    order, one newline at the end.
    """
    return msgspec.json.format(msgspec.json.encode(document), indent=2) + b"\n"
