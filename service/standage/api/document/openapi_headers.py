"""What the document says of headers, of requests and of answers, each of them once."""

from collections.abc import Iterable
from typing import Any

from standage.api.web.call import LONGEST_HEADER
from standage.api.web.operation import Operation, Speaks

Json = dict[str, Any]

_HEADER = "#/components/headers/{name}"
_PARAMETER = "#/components/parameters/{name}"

_TEXT: Json = {"type": "string"}
ANSWERED: Json = {
    "ETag": {
        "description": "The strong entity tag of this version.",
        "schema": _TEXT,
    },
    "Link": {
        "description": 'The next page, rel="next"; absent on the last.',
        "schema": _TEXT,
    },
    "Location": {"description": "The address of what was made.", "schema": _TEXT},
    "RateLimit": {
        "description": (
            "How many requests of this sort are left, and in how many seconds all are"
            ' there again: `"write";r=0;t=1`.'
        ),
        "schema": _TEXT,
    },
    "RateLimit-Policy": {
        "description": (
            "How many requests of this sort there may be in how many seconds:"
            ' `"write";q=300;w=60`.'
        ),
        "schema": _TEXT,
    },
    "Retry-After": {
        "description": "Seconds to wait.",
        "schema": {"type": "integer"},
    },
    "WWW-Authenticate": {
        "description": "How to identify yourself.",
        "schema": _TEXT,
    },
    "X-Request-Id": {
        "description": (
            "The id of this request: quote it when you ask for help. It is the one that"
            " you sent, if you sent one."
        ),
        "schema": _TEXT,
    },
}
"""Every header of an answer that the document tells of."""


def header(name: str) -> Json:
    """Return a reference to what is said of a header of answers."""
    return {"$ref": _HEADER.format(name=name)}


def _sent(
    name: str,
    words: str,
    *,
    longest: int,
    required: bool = False,
    pattern: str | None = None,
) -> Json:
    schema: Json = {"type": "string", "maxLength": longest}
    if pattern is not None:
        schema["pattern"] = pattern
    return {
        "name": name,
        "in": "header",
        "required": required,
        "description": words,
        "schema": schema,
    }


SENT: Json = {
    "IfMatch": _sent(
        "If-Match",
        "The ETag of the version that you change, as you read it, in its quotes; '*' "
        "for whichever it is. What is no ETag is 400.",
        longest=LONGEST_HEADER,
        required=True,
    ),
    "IfMatchIfThere": _sent(
        "If-Match",
        "The ETag of the version whose place this takes; left out where nothing is"
        " there yet.",
        longest=LONGEST_HEADER,
    ),
    "IfNoneMatch": _sent(
        "If-None-Match",
        "The ETag of what you have already; 304 if it is still the same.",
        longest=LONGEST_HEADER,
    ),
    "IdempotencyKey": _sent(
        "Idempotency-Key",
        "A key of your own for this change: sent again within 72 hours, it gives the"
        " first answer again.",
        longest=200,
        pattern="^[\\x21-\\x7e]+$",
    ),
}
"""Every header of a request that the document tells of, by its name as a part."""


def headers_sent(operation: Operation) -> Iterable[Json]:
    """Yield a reference to each header that an operation reads."""
    names = []
    if operation.answers.may_create:
        names.append("IfMatchIfThere")
    elif operation.guard.conditional:
        names.append("IfMatch")
    if operation.takes_key:
        names.append("IdempotencyKey")
    if is_conditional_read(operation):
        names.append("IfNoneMatch")
    for name in names:
        yield {"$ref": _PARAMETER.format(name=name)}


def is_conditional_read(operation: Operation) -> bool:
    """Tell whether an operation answers 304 to who has its answer already."""
    return operation.method == "GET" and not isinstance(operation.act, Speaks)
