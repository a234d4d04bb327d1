"""How records are spoken: the types of answers, pages and queries, made from their
kinds, and a record put into them with what is remarked on it.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations.record_words import WORDS, Address, Words, id_name
from standage.api.web import pages
from standage.railway.slips.judges import likely_slips, remarks_on
from standage.railway.slips.slip import Slip
from standage.railway.terms.figures import IdOrName, says
from standage.railway.terms.reasons import Assumed
from standage.registry.records.kinds import (
    KINDS,
    LAYOUTS,
    MODULES,
    PLACES,
    RAKES,
    STANDARDS,
    TRAINS,
    VEHICLES,
    YARDS,
    Kind,
)
from standage.registry.records.look_alikes import LookAlike
from standage.registry.records.record import Record
from standage.shapes.paging import Next, NextCursor

_WITH_FIGURES = frozenset(
    kind.name
    for kind in (VEHICLES, RAKES, TRAINS, MODULES, STANDARDS, LAYOUTS, PLACES, YARDS)
)


def can_be_warned_of(kind: Kind[Any]) -> bool:
    """Tell whether records of that kind hold figures in which slips are looked for."""
    return kind.name in _WITH_FIGURES


REMARKS = "assumed"
"""The field of an answer that says how words which mean two things are taken."""
LOOK_ALIKES = "look_alikes"
"""The field of the answer to a write that names other records whose names look like
this one's.
"""


def remarks_in(kind: Kind[Any]) -> frozenset[str]:
    """Return the fields of an answer that are only said beside the record: what comes
    back of them is ignored.
    """
    remarks = set()
    if can_be_warned_of(kind):
        remarks.add(REMARKS)
    if kind.told_apart_by_name:
        remarks.add(LOOK_ALIKES)
    return frozenset(remarks)


def words_taken(kind: Kind[Any], body: Any) -> tuple[Assumed, ...]:
    """Return how words in a body are taken that mean two things; none where practice
    leaves no doubt.
    """
    if can_be_warned_of(kind):
        return remarks_on(body).words
    return ()


def warnings_of(kind: Kind[Any], body: Any) -> tuple[Slip, ...]:
    """Return the likely slips in a body; none for kinds without such figures."""
    if can_be_warned_of(kind):
        return likely_slips(body)
    return ()


def present(
    kind: Kind[Any],
    record: Record,
    told: Sequence[Assumed] = (),
    alike: Sequence[LookAlike] = (),
) -> dict[str, Any]:
    """Return a record as it is spoken: its envelope, then its body; what nobody said is
    left out.

    ``told`` is what was understood in reading what was sent, ``alike`` are the records
    whose names look like its own.
    """
    envelope = {
        "id": record.id,
        "version": record.version,
        "created_at": record.created_at,
        "updated_at": record.updated_at,
    }
    parent = (
        {} if kind.parent is None else {id_name(KINDS[kind.parent]): record.parent_id}
    )
    called = getattr(record.body, kind.naming.field)
    body = {
        **({} if called is None else {kind.naming.field: called}),
        **telling_defaults(kind),
        **msgspec.to_builtins(record.body),
    }
    remarks: dict[str, Sequence[msgspec.Struct]] = {
        "warnings": warnings_of(kind, record.body),
        REMARKS: (*told, *words_taken(kind, record.body)),
        LOOK_ALIKES: alike,
    }
    spoken = {
        name: list(msgspec.to_builtins(found))
        for name, found in remarks.items()
        if found
    }
    return {**envelope, **parent, **body, **spoken}


@cache
def telling_defaults(kind: Kind[Any]) -> Mapping[str, Any]:
    """Return the defaults that say something, such as a member's role; what nobody said
    stays left out.
    """
    defaults = {
        field.encode_name: field.default for field in msgspec.structs.fields(kind.body)
    }
    return {
        name: default
        for name, default in defaults.items()
        if isinstance(default, str | int) and default
    }


_ENVELOPE: tuple[tuple[str, Any], ...] = (
    ("id", Annotated[str, says("Its id; the service gives it.")]),
    ("version", Annotated[int, says("Goes up by one with each change.")]),
    (
        "created_at",
        Annotated[datetime, msgspec.Meta(tz=True), says("When it was recorded.")],
    ),
    (
        "updated_at",
        Annotated[datetime, msgspec.Meta(tz=True), says("When it was last changed.")],
    ),
)


@cache
def answer_type(kind: Kind[Any], words: Words) -> type:
    parent = (
        []
        if kind.parent is None
        else [
            (id_name(KINDS[kind.parent]), Annotated[str, says("What it lies beneath.")])
        ]
    )
    return msgspec.defstruct(
        f"Kept{words.noun}" if kind.naming.sole else words.noun,
        [*_ENVELOPE, *parent, *_remarks(kind)],
        bases=(kind.body,),
        frozen=True,
        kw_only=True,
        namespace={"__doc__": words.about},
    )


def new_type(kind: Kind[Any], words: Words) -> type:
    """Return the body of a new record at an address that does not name what it is to
    lie beneath.
    """
    above = KINDS[kind.parent or ""]
    beneath = (
        id_name(above),
        Annotated[
            IdOrName, says(f"The {above.one} that it is to lie beneath, for good.")
        ],
    )
    return msgspec.defstruct(
        f"{words.noun}Of{above.one.title().replace(' ', '')}",
        [beneath],
        bases=(kind.body,),
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
        namespace={
            "__doc__": f"{words.about} It says which {above.one} it lies beneath."
        },
    )


def issued_type(answer: type, field: str) -> type:
    secret = (
        field,
        Annotated[
            str,
            says(
                "The secret. It is shown this once; keep it where others cannot"
                " read it."
            ),
        ],
    )
    return msgspec.defstruct(
        f"Issued{answer.__name__}", [secret], bases=(answer,), frozen=True, kw_only=True
    )


@cache
def page_type(words: Words, answer: Any) -> type:
    return msgspec.defstruct(
        f"{words.noun}Page",
        [
            ("items", list[answer]),
            ("next", Next, None),
            ("next_cursor", NextCursor, None),
            *_beside(words),
        ],
        frozen=True,
        kw_only=True,
        namespace={"__doc__": f"A page of {words.plural.lower()}."},
    )


def _beside(words: Words) -> list[tuple[str, Any, Any]]:
    if words.beside is None:
        return []
    shown = Annotated[
        tuple[words.beside.type, ...],  # type: ignore[name-defined]  # the kind's own
        says(f"{words.beside.about} Absent unless they are asked for."),
    ]
    return [(words.beside.name, shown, ())]


def list_query(kind: Kind[Any], at: Address) -> type:
    orders = tuple(order for name in kind.sorts for order in (name, f"-{name}"))
    choice = Annotated[
        Literal[orders],  # type: ignore[valid-type]  # made from the kind's own sorts
        says("The order; with a '-' before it, the other way round."),
    ]
    filters: list[tuple[str, Any, None]] = [
        (name, Annotated[one.type | None, says(_filter_words(name))], None)
        for name, one in kind.filters.items()
    ]
    if at.alone:
        above = id_name(KINDS[kind.parent or ""])
        filters.append(
            (above, Annotated[IdOrName | None, says(_filter_words(above))], None)
        )
    beside = WORDS[kind.name].beside
    if beside is not None:
        asked = Annotated[
            bool | None, says(f"Whether to show beside the records: {beside.about}")
        ]
        filters.append((beside.name, asked, None))
    return msgspec.defstruct(
        f"{at.plural}Query",
        [
            ("limit", pages.Limit, pages.DEFAULT_LIMIT),
            ("cursor", pages.Cursor | None, None),
            ("sort", choice, orders[0]),
            *filters,
        ],
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
    )


def _filter_words(name: str) -> str:
    if name.endswith("_begins"):
        return (
            f"Only those whose {name.removesuffix('_begins')} begins like this; letter"
            " case aside."
        )
    return f"Only those with this {name.removesuffix('_id').replace('_', ' ')}."


def _remarks(kind: Kind[Any]) -> Iterable[tuple[str, Any, Any]]:
    """Yield the fields of an answer that are said beside the record, and absent where
    there is nothing to say.
    """
    warned = Annotated[
        tuple[Slip, ...],
        says(
            "Figures that were probably meant otherwise; absent where there are none."
        ),
    ]
    taken = Annotated[
        tuple[Assumed, ...],
        says(
            "How words that mean two things are taken; absent where there are none."
            " What is sent of it is ignored."
        ),
    ]
    alike = Annotated[
        tuple[LookAlike, ...],
        says(
            "Others of the same list whose names look like this one, five at most: told"
            " when it is written, absent where there are none. What is sent of it is"
            " ignored."
        ),
    ]
    if can_be_warned_of(kind):
        yield from (("warnings", warned, ()), (REMARKS, taken, ()))
    if kind.told_apart_by_name:
        yield (LOOK_ALIKES, alike, ())
