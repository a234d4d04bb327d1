"""What questions declare of themselves, as the shared tests send it."""

from collections.abc import Mapping
from typing import Any, TypeGuard
from urllib.parse import quote, urlencode

from standage.questions.catalogue import every_question
from standage.questions.question import (
    Asking,
    Drawing,
    InPages,
    Json,
    OnRecord,
    Question,
)

Inline = Question[Any, Any, Any] | Drawing[Any, Any, Any] | OnRecord[Any, Any, Any]
ByAddress = Question[Any, Any, Any] | OnRecord[Any, Any, Any] | InPages[Any, Any, Any]


def in_body(one: Asking) -> TypeGuard[Inline]:
    """Tell whether a question is asked with a body."""
    if isinstance(one, Question):
        return one.asked_by == "body"
    if isinstance(one, OnRecord):
        return one.body is not None
    return isinstance(one, Drawing)


def parameters(asked: Json) -> str:
    """Return what is asked as it stands beside an address; ids are still to be filled
    in.
    """
    return urlencode(asked, safe="{}", quote_via=quote)


def asked_at(one: Asking, asked: Json, ids: Mapping[str, str]) -> str:
    """Return an address with what is asked beside it, and all ids filled in."""
    query = parameters(asked)
    address = f"{one.at}?{query}" if query else one.at
    return address.format(**ids)


DECLARED = {one.id: one for one in every_question()}
BODIES = {name: dict(one.example) for name, one in DECLARED.items() if in_body(one)}
"""The body of every question's example."""
PARAMETERS = {
    name: parameters(one.example)
    for name, one in DECLARED.items()
    if not in_body(one) and one.example
}
OPEN = [name for name, one in DECLARED.items() if isinstance(one, Question | Drawing)]
"""What can be answered from what is sent alone."""
