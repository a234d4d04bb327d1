"""Errors as RFC 9457 problems: the only place that knows which refusal has which
status.
"""

from collections.abc import Iterable
from typing import Annotated
from urllib.parse import quote

import msgspec

from standage.railway.terms.figures import counted
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Refusal

MEDIA_TYPE = "application/problem+json"
_PATH_CHARACTERS = "/:@!$&'()*+,;="


class Problem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What went wrong (RFC 9457): never a stack, a statement, a path of the machine or
    a version.
    """

    type: Annotated[
        str,
        msgspec.Meta(
            description="A page of this service that explains this sort of problem."
        ),
    ]
    title: Annotated[
        str, msgspec.Meta(description="The sort of problem, always in the same words.")
    ]
    status: Annotated[int, msgspec.Meta(description="The HTTP status.")]
    detail: Annotated[str, msgspec.Meta(description="What went wrong this time.")]
    instance: Annotated[str, msgspec.Meta(description="The path that was asked.")]
    request_id: Annotated[
        str, msgspec.Meta(description="Quote it when you ask for help.")
    ]
    faults: Annotated[
        tuple[Fault, ...],
        msgspec.Meta(
            description=(
                "Everything that is wrong with what was sent, each at its place."
            )
        ),
    ] = ()
    writable: Annotated[
        bool | None,
        msgspec.Meta(
            description="False where records can be read, and only not changed."
        ),
    ] = None


class Sort(msgspec.Struct, frozen=True, kw_only=True):
    """One sort of problem: its status, its title, and what to do about it."""

    code: str
    status: int
    title: str
    advice: str

    @property
    def path(self) -> str:
        """Where the page of this sort of problem stands."""
        return f"/problems/{self.code.replace('_', '-')}"


SORTS = {
    sort.code: sort
    for sort in (
        Sort(
            code="malformed",
            status=400,
            title="The request cannot be read",
            advice=(
                "The detail says where. A body is JSON in UTF-8: check commas, quotes"
                " and brackets. The header 'If-Match' holds an ETag as it was read, in"
                " straight double quotes."
            ),
        ),
        Sort(
            code="unauthenticated",
            status=401,
            title="A token is needed",
            advice=(
                "Send the header 'Authorization: Bearer' and a token of your club that"
                " has neither expired nor been revoked. A steward of the club can issue"
                " one."
            ),
        ),
        Sort(
            code="sign_in_failed",
            status=401,
            title="Signing in failed",
            advice=(
                "Check the club's id, the name you sign in by, and the passphrase;"
                " letter case counts in the passphrase only. If you have forgotten it,"
                " ask a steward of the club for a new invitation."
            ),
        ),
        Sort(
            code="forbidden",
            status=403,
            title="Not allowed with this token",
            advice=(
                "Members change their own stock, layout keepers the plans, stewards"
                " everything. Ask a steward, or use a token with the scope 'write'."
            ),
        ),
        Sort(
            code="not_found",
            status=404,
            title="There is nothing here",
            advice=(
                "Check the address and the id. It may have been deleted, or belong to"
                " another club."
            ),
        ),
        Sort(
            code="method_not_allowed",
            status=405,
            title="That cannot be done here",
            advice="The header 'Allow' lists the methods that this address knows.",
        ),
        Sort(
            code="not_acceptable",
            status=406,
            title="No answer in that form",
            advice=(
                "The detail lists the media types that exist here; ask for one of them"
                " in the header 'Accept'."
            ),
        ),
        Sort(
            code="too_slow",
            status=408,
            title="The request did not come in time",
            advice=(
                "Send it again over a better connection; a large file may have to wait"
                " until the hall is quieter. Nothing was changed."
            ),
        ),
        Sort(
            code="in_use",
            status=409,
            title="Something else still needs it",
            advice="Take it out of the records that the detail names first.",
        ),
        Sort(
            code="outdated",
            status=409,
            title="What it was prepared for has changed since",
            advice=(
                "Look at it again as the detail says, then send the request again."
                " Nothing was changed."
            ),
        ),
        Sort(
            code="out_of_turn",
            status=409,
            title="Not possible at this point",
            advice=(
                "The detail says what has been done already, or what must come first."
            ),
        ),
        Sort(
            code="already_shown",
            status=409,
            title="The secret was shown once, and is not kept",
            advice=(
                "Delete the token, link, invitation or session that the secret belongs"
                " to, and make another one."
            ),
        ),
        Sort(
            code="cannot_undo",
            status=409,
            title="It cannot be undone as things stand",
            advice=(
                "The detail names what stands in the way. Undo later changes first, the"
                " latest one before the others; bring back what was deleted since; give"
                " another name to what has taken the old one."
            ),
        ),
        Sort(
            code="idempotency_key_in_progress",
            status=409,
            title="The same request is still being worked on",
            advice=(
                "Wait as long as the header 'Retry-After' says, then send it again with"
                " the same key."
            ),
        ),
        Sort(
            code="stale",
            status=412,
            title="It has changed since you read it",
            advice=(
                "Read it again and make your change to that version; the detail says"
                " what to send in 'If-Match'."
            ),
        ),
        Sort(
            code="too_large",
            status=413,
            title="The request is too large",
            advice="The detail says how large it may be.",
        ),
        Sort(
            code="unsupported_media_type",
            status=415,
            title="Not a form that can be read here",
            advice=(
                "The detail says in which forms it may be sent: say which in the header"
                " 'Content-Type'. A request that is refused changes nothing."
            ),
        ),
        Sort(
            code="invalid",
            status=422,
            title="Some of it cannot be right",
            advice=(
                "'faults' lists everything that is wrong, each with its place"
                " ('pointer' or 'parameter'). A request that is refused changes"
                " nothing."
            ),
        ),
        Sort(
            code="idempotency_key_reused",
            status=422,
            title="The Idempotency-Key was used for something else",
            advice="Use a new key for each new request.",
        ),
        Sort(
            code="precondition_required",
            status=428,
            title="Say which version you are changing",
            advice=(
                "Read the record first and send its ETag in the header 'If-Match', so"
                " that nobody's change is lost. The detail gives the present one."
            ),
        ),
        Sort(
            code="too_many_requests",
            status=429,
            title="Too many requests",
            advice="Wait as long as the header 'Retry-After' says.",
        ),
        Sort(
            code="internal",
            status=500,
            title="The service failed",
            advice=(
                "This is a fault of the service, not yours. Quote the request id to"
                " whoever runs it."
            ),
        ),
        Sort(
            code="busy",
            status=503,
            title="Busy at the moment",
            advice="Wait as long as the header 'Retry-After' says, then try again.",
        ),
        Sort(
            code="unready",
            status=503,
            title="The service is not ready",
            advice=(
                "The detail says what is wrong with its database or its disk. Whoever"
                " runs the service can mend it."
            ),
        ),
    )
}
"""Every sort of problem by its code; the order is that of the statuses."""

RETRY_AFTER_S = {"busy": 1, "unready": 30, "idempotency_key_in_progress": 1}


class Rejected(Refusal):
    """A refusal that HTTP itself brings: the code says which."""

    def __init__(
        self, code: str, detail: str, *, headers: Iterable[tuple[str, str]] = ()
    ) -> None:
        super().__init__(detail)
        self.sort_code = code
        self.headers = tuple(headers)


class Rendered(msgspec.Struct, frozen=True, kw_only=True):
    """A problem ready to be sent."""

    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


def render(error: Exception, *, path: str, request_id: str) -> Rendered:
    """Return the problem that answers ``error``; anything unforeseen is a 500 that says
    nothing of its cause.
    """
    sort = _sort_of(error)
    problem = Problem(
        type=sort.path,
        title=sort.title,
        status=sort.status,
        detail=_detail(error, sort),
        instance=quote(path, safe=_PATH_CHARACTERS, errors="replace"),
        request_id=request_id,
        faults=error.faults if isinstance(error, Faulty) else (),
        writable=getattr(error, "writable", None),
    )
    return Rendered(
        status=sort.status,
        headers=tuple(_headers(error, sort)),
        body=msgspec.json.encode(problem),
    )


def _sort_of(error: Exception) -> Sort:
    """Return the sort that a refusal is of; no other error, whatever it carries, may
    say what it is.
    """
    if isinstance(error, Rejected):
        return SORTS[error.sort_code]
    if isinstance(error, Refusal):
        return SORTS.get(error.code, SORTS["internal"])
    return SORTS["internal"]


def _detail(error: Exception, sort: Sort) -> str:
    if sort.code == "internal":
        return "Something went wrong inside the service."
    if isinstance(error, Faulty):
        things = counted(len(error.faults), "thing")
        unchanged = "; nothing was changed" if error.was_to_change else ""
        return f"{things} cannot be right{unchanged}."
    words = str(error) or sort.title
    sentence = words[0].upper() + words[1:]
    if sentence.endswith((".", "…")):
        return sentence
    return f"{sentence}."


def _headers(error: Exception, sort: Sort) -> Iterable[tuple[str, str]]:
    yield "content-type", MEDIA_TYPE
    yield "cache-control", "no-store"
    if sort.status == SORTS["unauthenticated"].status:
        yield "www-authenticate", 'Bearer realm="standage"'
    if sort.code in RETRY_AFTER_S:
        yield (
            "retry-after",
            str(getattr(error, "retry_after_s", RETRY_AFTER_S[sort.code])),
        )
    if isinstance(error, Rejected):
        yield from error.headers
