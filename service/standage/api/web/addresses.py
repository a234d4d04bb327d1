"""Every address that the service knows: found once for each request, with all that is to
be known of it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from litestar.types import HTTPScope, Send

_PARAMETER = re.compile(r"\{(\w+)\}")


class Endpoint(Protocol):
    """What answers a method at an address."""

    async def admit(self, scope: HTTPScope) -> bool:
        """Return whether whoever asks is known; raises what speaks against taking a
        large body.
        """

    async def answer(
        self,
        scope: HTTPScope,
        parameters: Mapping[str, str],
        body: bytes,
        send: Send,
    ) -> None:
        """Answer a request of which the body has come in whole."""


@dataclass(frozen=True, slots=True)
class Way:
    """What a method does at an address: its name, and the largest body in bytes that it
    takes.
    """

    name: str | None
    most_bytes: int
    endpoint: Endpoint | None = None
    """None for what the framework serves."""


@dataclass(frozen=True, slots=True)
class Address:
    """One address: its template, such as ``/v1/vehicles/{vehicle_id}``, and what each
    of its methods does.
    """

    route: str
    methods: Mapping[str, Way]


class Found(NamedTuple):
    """An address, and what stands in the place of its parameters."""

    address: Address
    parameters: Mapping[str, str]


@dataclass(slots=True)
class _Place:
    """What has been read of a path so far: what may follow, and the address that it is
    if nothing does.
    """

    named: "dict[str, _Place]" = field(default_factory=dict)
    anything: "_Place | None" = None
    address: Address | None = None

    def then(self, part: str) -> "_Place":
        """Return the place after a part of a template, made where there is none."""
        if not _PARAMETER.fullmatch(part):
            return self.named.setdefault(part, _Place())
        self.anything = self.anything or _Place()
        return self.anything


class Addresses:
    """Every address that the service knows."""

    def __init__(self, known: Mapping[str, Mapping[str, Way]]) -> None:
        """Take path templates, each with its methods."""
        self._start = _Place()
        for route, methods in known.items():
            place = self._start
            for part in route.split("/"):
                place = place.then(part)
            place.address = Address(route, methods)

    def find(self, path: str) -> Found | None:
        """Return the address that a path is, or None where there is nothing. A part
        that is named goes before one that may be anything.
        """
        values: list[str] = []
        place: _Place | None = self._start
        for part in path.split("/"):
            if place is None:
                return None
            after = place.named.get(part)
            if after is None and part:
                values.append(part)
                after = place.anything
            place = after
        if place is None or place.address is None:
            return None
        names = _PARAMETER.findall(place.address.route)
        return Found(place.address, dict(zip(names, values, strict=True)))
