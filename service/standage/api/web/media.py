"""In which form a request comes and its answer may go: Content-Type and
Content-Encoding (415), and Accept (406).
"""

import re
from collections.abc import Mapping

from standage.api.web.operation import PATCHES, Operation
from standage.api.web.problems import MEDIA_TYPE, Rejected
from standage.exchange.csv_in import CHARACTER_SETS


def check_media(operation: Operation, headers: Mapping[str, str]) -> None:
    """Raise ``Rejected`` where the body is not in a form that the operation takes, or
    its answer's form is refused.
    """
    taken = operation.takes.media_types
    if taken:
        sent = headers.get("content-type", "")
        essence = sent.partition(";")[0].strip().lower()
        if essence not in taken or not _is_readable(operation, sent):
            wanted = " or ".join(taken)
            came = (
                f"this came as {sent.strip()!r}"
                if sent.strip()
                else "this came without a Content-Type"
            )
            characters = "" if operation.takes.files else " in UTF-8"
            detail = f"Send {wanted}{characters}; {came}."
            raise Rejected(
                "unsupported_media_type", detail, headers=_patches(operation)
            )
        _check_encoding(headers.get("content-encoding", "").strip())
    if not _takes(operation.answers.media_type, headers.get("accept", "")):
        raise Rejected(
            "not_acceptable", f"Answers exist as {operation.answers.media_type} only."
        )


def _patches(operation: Operation) -> list[tuple[str, str]]:
    """Return what a refused change of some fields is told of the forms it may come in
    (RFC 5789).
    """
    return (
        [("accept-patch", ", ".join(PATCHES))]
        if operation.takes.patch_of is not None
        else []
    )


def _check_encoding(sent: str) -> None:
    if sent.lower() not in {"", "identity"}:
        detail = f"Send the body as it is; this came packed as {sent!r}."
        raise Rejected(
            "unsupported_media_type", detail, headers=[("accept-encoding", "identity")]
        )


def charset_of(content_type: str) -> str | None:
    """Return the character set that a media type names, in small letters; None where it
    names none.
    """
    charset = re.search(r"charset=\"?([\w-]+)", content_type, re.IGNORECASE)
    if charset is None:
        return None
    return charset[1].lower()


def _is_readable(operation: Operation, content_type: str) -> bool:
    named = charset_of(content_type)
    return named in {None, "utf-8", "utf8"} or (
        bool(operation.takes.files) and named in CHARACTER_SETS
    )


def _takes(media_type: str, accept: str) -> bool:
    """Tell whether the header Accept lets an answer be of that type; one that says
    nothing takes anything.
    """
    ranges = [_media_range(one) for one in accept.lower().split(",") if one.strip()]
    named = [
        taken
        for name in _ranges(media_type)
        for given, taken in ranges
        if given == name
    ]
    return named[0] if named else not ranges


def _ranges(media_type: str) -> tuple[str, ...]:
    """Return the ranges that a type lies within, the nearest first: it decides (RFC
    9110, section 12.5.1).
    """
    main, _, _ = media_type.partition("/")
    return (media_type, MEDIA_TYPE, f"{main}/*", "*/*")


def _media_range(text: str) -> tuple[str, bool]:
    """Return a media range and whether it is taken at all: a quality of 0 refuses
    it.
    """
    name, _, parameters = text.partition(";")
    return (
        name.strip(),
        re.search(r"(?:^|;)\s*q=0(?:\.0*)?\s*(?:;|$)", parameters) is None,
    )
