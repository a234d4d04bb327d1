"""One request as an operation meets it, decoded, and what goes back."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from standage.railway.terms.understanding import NOTHING_HEARD, Heard
from standage.registry.records.record import IfMatch, Permit

JSON = "application/json"
CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ODS = "application/vnd.oasis.opendocument.spreadsheet"
SVG = "image/svg+xml"


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """One decoded request, as far as an operation needs to know it."""

    permit: Permit | None
    path: Mapping[str, str]
    query: Any
    body: Any
    if_match: IfMatch
    now: datetime
    content_type: str = ""
    """In what form the body came; it matters only where it may come in several."""
    peer: str | None = None
    """From which address; None where nobody counts."""
    heard: Heard = NOTHING_HEARD
    """What was understood in reading the body, where that had to be."""

    @property
    def granted(self) -> Permit:
        """The permit of an operation that is never open to strangers."""
        if self.permit is None:
            message = "an operation that needs a permit was reached without one"
            raise RuntimeError(message)
        return self.permit

    @property
    def club_id(self) -> str:
        """The club that asks."""
        return self.granted.principal.club_id


@dataclass(frozen=True, kw_only=True, slots=True)
class Reply:
    """What goes back: a value to encode as JSON, bytes that go as they are, or nothing;
    with its headers.
    """

    content: Any = None
    media_type: str = JSON
    status: int = 200
    etag: str | None = None
    headers: tuple[tuple[str, str], ...] = ()
    secret: bool = False
    """Whether it holds what may never be kept, not even for a replay."""
