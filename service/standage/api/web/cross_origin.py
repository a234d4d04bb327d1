"""Pages of other sites that may ask this service from a browser (CORS).

They are named one by one, by ``STANDAGE_CORS_ORIGINS``: nobody is, unless set. A
credential is a bearer token that the page holds itself, so cookies play no part.
"""

from collections.abc import Iterable

Header = tuple[bytes, bytes]

_ALLOWED_HEADERS = (
    "Accept, Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match,"
    " X-Request-Id, traceparent"
)
_SHOWN_HEADERS = (
    "ETag, Link, Location, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"
)
_KEPT_S = 600


class CrossOrigin:
    """The sites whose pages may ask, each as a browser writes its origin."""

    def __init__(self, origins: Iterable[str] = ()) -> None:
        self._origins = frozenset(origin.encode() for origin in origins)

    def headers(self, asked: Iterable[Header]) -> list[Header]:
        """Return what every answer to such a request carries."""
        if not self._origins:
            return []
        found = [(b"vary", b"Origin")]  # of an answer that is for one site alone
        origin = dict(asked).get(b"origin")
        if origin in self._origins and origin is not None:
            found.append((b"access-control-allow-origin", origin))
            found.append((b"access-control-expose-headers", _SHOWN_HEADERS.encode()))
        return found

    def preflight(self, asked: Iterable[Header], methods: str) -> list[Header]:
        """Return what OPTIONS says besides to a browser that asks for a page's sake."""
        headers = dict(asked)
        if b"access-control-request-method" not in headers:
            return []
        if headers.get(b"origin") not in self._origins:
            return []
        return [
            (b"access-control-allow-methods", methods.encode()),
            (b"access-control-allow-headers", _ALLOWED_HEADERS.encode()),
            (b"access-control-max-age", str(_KEPT_S).encode()),
        ]
