"""What the document says of refusals: one answer for each set of problems that share a
status, with an example of every one of them.

What no client handles for one operation alone is told once, as the answer of every
status that is not listed.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from string import ascii_lowercase
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import EXAMPLE, REF
from standage.api.document.openapi_choices import capitals
from standage.api.document.openapi_headers import header
from standage.api.web.operation import Operation, Speaks
from standage.api.web.problems import MEDIA_TYPE, SORTS, Rejected, render

Json = dict[str, Any]

RESPONSE = "#/components/responses/{name}"
OTHERWISE = "default"
"""The answer of every status that an operation does not list."""
_PATH = "/v1/vehicles/0196a2b4-0000-7000-8000-000000000001"
_REQUEST_ID = "4be1f0c85d2a4f6e9a7b3c1d2e5f6071"
_UNPLAYED = {
    "malformed": "JSON is malformed: expected '\"' (byte 14).",
    "forbidden": "A member may not do this; it takes a steward.",
    "not_acceptable": "Answers exist as application/json only.",
    "too_slow": "The body did not come in time: 60 seconds at most.",
    "outdated": "The list has been changed since it was looked at; look at it again.",
    "idempotency_key_in_progress": "The first request with this key is not done yet.",
    "too_large": "At most 256 kB may be sent here.",
    "unsupported_media_type": (
        "Send application/json in UTF-8; this came as 'text/csv'."
    ),
    "idempotency_key_reused": "This key came with another request before.",
    "too_many_requests": "More than 300 requests of this sort in a minute.",
    "busy": "Too many long questions are waiting.",
    "unready": "The database cannot be read.",
    "internal": "",
}
"""What problems say that no example of the scenario plays: it is orderly and quick."""

_OF_ANY = frozenset(
    {
        "busy",
        "forbidden",
        "internal",
        "malformed",
        "not_acceptable",
        "too_large",
        "too_many_requests",
        "too_slow",
        "unauthenticated",
        "unready",
        "unsupported_media_type",
    }
)
"""The problems that a client handles alike whatever it asked for."""
_UNASKED = "invalid"
"""What one answers that takes neither a query nor a body and is sent one all the same."""
_FORBIDDEN = 403
_WORDS_OTHERWISE = "Any other refusal, by its `status`: what may come of any operation."
_LETTERS = ("", *ascii_lowercase)
_HEADERS: Mapping[int, Sequence[str]] = {
    401: ["WWW-Authenticate"],
    429: ["RateLimit", "RateLimit-Policy", "Retry-After"],
    503: ["Retry-After"],
}


def problems_of(operation: Operation) -> list[str]:
    """Return the codes of all problems that an operation can answer with."""
    codes = {"not_acceptable", "invalid", "internal"}
    if isinstance(operation.act, Speaks):
        return sorted(codes | set(operation.answers.problems))
    codes |= {"too_many_requests", "busy", "unready"}
    if not operation.act.is_open:
        codes |= {"unauthenticated", "forbidden"}
    if "{" in operation.path:
        codes.add("not_found")
    if operation.takes.media_types:
        codes |= {"malformed", "too_large", "too_slow", "unsupported_media_type"}
    if operation.guard.conditional:
        codes |= {"malformed", "precondition_required", "stale"}
    if operation.takes_key:
        codes |= {"idempotency_key_in_progress", "idempotency_key_reused"}
    return sorted(codes | set(operation.answers.problems))


class Refusals:
    """The answers that refuse: for each status the commonest is called by it, the
    others have a letter besides.

    The names are short since every operation has half a dozen of them.
    """

    def __init__(self, operations: Sequence[Operation]) -> None:
        sets = {one.id: _listed(one) for one in operations}
        times = Counter(chain.from_iterable(one.items() for one in sets.values()))
        self._sets = sets
        self._names: dict[tuple[str, ...], str] = {}
        of_status: Counter[int] = Counter()
        for (status, codes), _ in times.most_common():
            self._names[codes] = f"{status}{_LETTERS[of_status[status]]}"
            of_status[status] += 1
        self.shared = {
            self._names[codes]: _refusal([status], codes) for status, codes in times
        }
        self.shared[OTHERWISE] = _otherwise()

    def of(self, operation: Operation) -> Json:
        """Return the refusals of an operation, by status, each by reference."""
        listed = {
            str(status): _shared(self._names[codes])
            for status, codes in self._sets[operation.id].items()
        }
        return {**listed, OTHERWISE: _shared(OTHERWISE)}


def problem_examples(
    operations: Iterable[Operation], examples: Mapping[str, Any]
) -> Json:
    """Return an example of every problem, by its name.

    It is one that the scenario plays, or else what the service would say.
    """
    played = _played(examples)
    codes = {code for operation in operations for code in problems_of(operation)}
    return {
        capitals(code): {"value": played.get(code, _unplayed(code))} for code in codes
    }


def _listed(operation: Operation) -> dict[int, tuple[str, ...]]:
    """Return the problems that an operation lists, by status."""
    told_otherwise = _OF_ANY - set(operation.answers.problems)
    speaks = isinstance(operation.act, Speaks)  # it refuses in no other way of its own
    takes_anything = operation.takes.query is not None or operation.takes.media_types
    if not takes_anything and not speaks:
        told_otherwise |= {_UNASKED}
    by_status = _by_status(problems_of(operation))
    own = {
        status: codes
        for status, codes in by_status.items()
        if not told_otherwise.issuperset(codes)
    }
    if not own and _FORBIDDEN in by_status:  # a reader is shown one refusal at least
        own[_FORBIDDEN] = by_status[_FORBIDDEN]
    return own


def _by_status(codes: Iterable[str]) -> dict[int, tuple[str, ...]]:
    found: dict[int, tuple[str, ...]] = {}
    for code in codes:
        status = SORTS[code].status
        found[status] = (*found.get(status, ()), code)
    return dict(sorted(found.items()))


def _otherwise() -> Json:
    """Return the answer of every status that is not listed."""
    by_status = _by_status(sorted({*_OF_ANY, _UNASKED}))
    codes = list(chain.from_iterable(by_status.values()))
    return _refusal(list(by_status), codes) | {"description": _WORDS_OTHERWISE}


def _refusal(statuses: Iterable[int], codes: Sequence[str]) -> Json:
    headers = {"X-Request-Id"}
    for status in statuses:
        headers.update(_HEADERS.get(status, ()))
    if "idempotency_key_in_progress" in codes:
        headers.add("Retry-After")
    examples = {
        capitals(code): {"$ref": EXAMPLE.format(name=capitals(code))} for code in codes
    }
    content = {"schema": {"$ref": REF.format(name="Problem")}, "examples": examples}
    return {
        "description": "; or: ".join(SORTS[code].title for code in codes) + ".",
        "headers": {name: header(name) for name in sorted(headers)},
        "content": {MEDIA_TYPE: content},
    }


def _shared(name: str) -> Json:
    return {"$ref": RESPONSE.format(name=name)}


def _played(examples: Mapping[str, Any]) -> dict[str, Json]:
    """Return the first example of each problem that was played."""
    codes = {sort.path: code for code, sort in SORTS.items()}
    found: dict[str, Json] = {}
    for example in examples.values():
        for status, answer in example.get("answers", {}).items():
            if status >= "4":
                found.setdefault(codes[answer["type"]], answer)
    return found


def _unplayed(code: str) -> Json:
    """Return what the service itself would say, of a problem that nobody played."""
    error = Rejected(code, _UNPLAYED.get(code, ""))
    rendered = render(
        error,
        path=_PATH,
        request_id=_REQUEST_ID,
    )
    told: Json = msgspec.json.decode(rendered.body)
    return told
