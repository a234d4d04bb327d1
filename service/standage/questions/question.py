"""What a question says of itself, once: routes, rights, the document, its examples and
the tests that all questions share follow from it.

``Question`` is asked with all that it needs; ``OnRecord`` of what an address names, its
answer a ``str`` where it is a picture;
``InPages`` has more answers than go into one; ``Drawing`` is answered with a picture.
What is answered with a ``sheet`` is the text of a spreadsheet in place of a picture.
Every file of a question ends with its one declaration, and ``catalogue`` lists them.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar

from standage.questions.derived import Key
from standage.questions.sources import Sources
from standage.registry.records.kind import RECORD_BYTES

Json = Mapping[str, Any]
Position = tuple[str, str]
"""Where a page begins: just after that sort value and id."""

PLAN_BYTES = 1024 * 1024
"""So long a body may be that has a track plan in it."""

R = TypeVar("R")
"""What is sent: a body, or what stands beside an address."""
L = TypeVar("L")
C = TypeVar("C")
A = TypeVar("A")

Who = Literal["visitors_too", "club"]
Tag = Literal["Questions", "Shunting"]

WITHIN_BUDGET = (
    " The search is exact within a budget of steps, and says what it proved."
)
REPEATABLE = (
    " It stops at a budget of steps, and says so. The same request always gives the"
    " same answer."
)


@dataclass(frozen=True, slots=True)
class Shows:
    """A likely slip, and what makes the question's example show it.

    ``asked`` is put in the example's place, field by field; ``recorded`` into a record
    of that noun, which the address then names.
    """

    code: str
    field: str
    asked: Json | None = None
    recorded: tuple[str, Json] | None = None


@dataclass(frozen=True, slots=True)
class NeverWarns:
    """Why no slip can be told apart in what a question is asked."""

    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Question(Generic[R, C, A]):
    """A question that is asked with all it needs, inline or by ids, in a body or as
    parameters.
    """

    id: str
    at: str
    """Its address."""
    asks: str
    tells: str
    request: type[R]
    answer: type[A]
    gather: Callable[[Sources, R], C]
    reckon: Callable[[C], A]
    """Pure, and known by its name, so that another process can reckon it."""
    example: Json
    """Asked of a club that has nothing on record."""
    refused: Json
    """What is asked amiss; in a query as in a body."""
    warns: Shows | NeverWarns
    asked_by: Literal["body", "parameters"] = "body"
    heavy: Callable[[C], bool] | None = None
    """Tells of a case whether it may take over 20 ms: it is then pickled, and reckoned
    in a process of its own.
    """
    searches: bool = False
    """Whether it takes its turn among the searches."""
    most_bytes: int = RECORD_BYTES
    """So long a body may be."""
    tag: Tag = "Questions"
    who: Who = "visitors_too"
    others: tuple["Asking", ...] = ()
    """The same question at other addresses."""


@dataclass(frozen=True, kw_only=True, slots=True)
class OnRecord(Generic[R, C, A]):
    """A question about what its address names; ``gather`` takes the ids by their names
    in it, and the ``parameters`` or the ``body``.
    """

    id: str
    at: str
    asks: str
    tells: str
    parameters: type[R] | None = None
    body: type[R] | None = None
    most_bytes: int = RECORD_BYTES
    """So long a body may be."""
    answer: type[A]
    gather: Callable[[Sources, Mapping[str, str], R], C]
    reckon: Callable[[C], A]
    example: Json
    """What is asked; ``{train_id}`` stands for the id of a train on record."""
    refused: Json | None = None
    warns: Shows | NeverWarns
    heavy: Callable[[C], bool] | None = None
    sheet: str | None = None
    """What the file is called, where a ``str`` is CSV and no picture."""
    kept_under: Callable[[C], Key] | None = None
    """Names all that an answer rests on: it is then kept, and given again."""
    who: Who = "club"
    tag: Tag = "Questions"
    others: tuple["Asking", ...] = ()


@dataclass(frozen=True, slots=True)
class Page(Generic[A]):
    """One page's answer, and where the next one begins; None on the last."""

    answer: A
    then: Position | None


@dataclass(frozen=True, kw_only=True, slots=True)
class InPages(Generic[R, C, A]):
    """A question with more answers than go into one. Its parameters have a ``limit``
    and a ``cursor``; ``gather`` is told what the cursor stands for.
    """

    id: str
    at: str
    asks: str
    tells: str
    parameters: type[R]
    answer: type[A]
    gather: Callable[[Sources, Mapping[str, str], R, Position | None], C]
    reckon: Callable[[C], Page[A]]
    example: Json
    refused: Json | None = None
    warns: Shows | NeverWarns
    heavy: Callable[[C], bool] | None = None
    gathers_much: bool = False
    """Whether so much is read that nobody else is to wait meanwhile."""
    who: Who = "club"
    tag: Tag = "Questions"
    others: tuple["Asking", ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawing(Generic[R, L, C]):
    """A question that is answered with an SVG; ``look`` says how it is to be shown."""

    id: str
    at: str
    asks: str
    tells: str
    request: type[R]
    look: type[L] | None = None
    gather: Callable[[Sources, R, L], C]
    draw: Callable[[C], str]
    sheet: str | None = None
    """What the file is called, where it is CSV and no picture."""
    example: Json
    refused: Json
    heavy: Callable[[C], bool] | None = None
    searches: bool = False
    most_bytes: int = RECORD_BYTES
    who: Who = "visitors_too"
    tag: Tag = "Questions"
    others: tuple["Asking", ...] = ()


Asking = (
    Question[Any, Any, Any]
    | OnRecord[Any, Any, Any]
    | InPages[Any, Any, Any]
    | Drawing[Any, Any, Any]
)


def as_asked(_sources: Sources, request: R) -> R:
    """Return the request: it is all that the answer rests on."""
    return request


def always(_case: object) -> bool:
    """Say that a question is heavy, whatever it is about."""
    return True


def with_others(asking: Asking) -> Iterator[Asking]:
    """Yield a question, and the same at its other addresses."""
    yield asking
    for other in asking.others:
        yield from with_others(other)
