"""From what a question says of itself to the operation that asks it."""

from collections.abc import Callable
from functools import partial
from typing import Any

import msgspec

from standage.api.operations.drawings_shown import shown
from standage.api.web.call import CSV, JSON, SVG, Call, Reply
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    RateClass,
    Reads,
    Takes,
)
from standage.api.web.pages import PageAsked, page_asked
from standage.exchange.sheets_out import marked
from standage.questions.catalogue import every_question
from standage.questions.question import Asking, Drawing, InPages, OnRecord, Question
from standage.questions.sources import Sources
from standage.registry.records.reading import Reading

_WAITING = " Searches take turns: 503 where too many wait."

AnyQuestion = Question[Any, Any, Any]
AnyOnRecord = OnRecord[Any, Any, Any]
AnyInPages = InPages[Any, Any, Any]
AnyDrawing = Drawing[Any, Any, Any]


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    """A page of a list that is reckoned: which is asked for, and what it rests on."""

    asked: PageAsked
    case: Any


def question_operations() -> list[Operation]:
    """Return every question that can be asked."""
    return [_operation(one) for one in every_question()]


def _operation(asking: Asking) -> Operation:
    if isinstance(asking, Question):
        return _by_itself(asking)
    if isinstance(asking, OnRecord):
        return _on_record(asking)
    if isinstance(asking, InPages):
        return _in_pages(asking)
    return _drawn(asking)


def _by_itself(asking: AnyQuestion) -> Operation:
    in_body = asking.asked_by == "body"
    return Operation(
        id=asking.id,
        method="POST" if in_body else "GET",
        path=asking.at,
        about=About(tag=asking.tag, summary=asking.asks, description=_told_of(asking)),
        act=Reads(
            partial(_inline_case, asking),
            partial(_reported, asking.reckon),
            heavy=asking.heavy,
        ),
        answers=Answers(shape=asking.answer, tagged=not in_body),
        takes=Takes(
            most_bytes=asking.most_bytes,
            body=asking.request if in_body else None,
            query=None if in_body else asking.request,
        ),
        guard=Guard(rate=_rate(asking), may_be_open=True),
    )


def _on_record(asking: AnyOnRecord) -> Operation:
    written = _written(asking.sheet)
    is_file = asking.answer is str
    in_body = asking.body is not None
    return Operation(
        id=asking.id,
        method="POST" if in_body else "GET",
        path=asking.at,
        about=About(tag=asking.tag, summary=asking.asks, description=asking.tells),
        act=Reads(
            partial(_recorded_case, asking),
            partial(written.report if is_file else _reported, asking.reckon),
            heavy=asking.heavy,
            gathers_much=asking.kept_under is not None,
            kept_under=asking.kept_under,
        ),
        answers=Answers(
            shape=asking.answer,
            media_type=written.media_type if is_file else JSON,
            tagged=not in_body,
        ),
        takes=Takes(
            most_bytes=asking.most_bytes, body=asking.body, query=asking.parameters
        ),
        guard=Guard(rate="check"),
    )


def _in_pages(asking: AnyInPages) -> Operation:
    return Operation(
        id=asking.id,
        method="GET",
        path=asking.at,
        about=About(tag=asking.tag, summary=asking.asks, description=asking.tells),
        act=Reads(
            partial(_page, asking),
            partial(_reported_page, asking.reckon),
            heavy=_of_the_case(asking.heavy),
            gathers_much=asking.gathers_much,
        ),
        answers=Answers(shape=asking.answer, tagged=True),
        takes=Takes(query=asking.parameters),
        guard=Guard(rate="check"),
    )


class _Written(msgspec.Struct, frozen=True, kw_only=True):
    """How a file goes out."""

    media_type: str
    report: Callable[[Callable[[Any], str], Any], Reply]


def _written(sheet: str | None) -> _Written:
    if sheet is None:
        return _Written(media_type=SVG, report=_shown)
    return _Written(media_type=CSV, report=partial(_as_sheet, sheet))


def _drawn(asking: AnyDrawing) -> Operation:
    written = _written(asking.sheet)
    return Operation(
        id=asking.id,
        method="POST",
        path=asking.at,
        about=About(tag=asking.tag, summary=asking.asks, description=_told_of(asking)),
        act=Reads(
            partial(_case_to_draw, asking),
            partial(written.report, asking.draw),
            heavy=asking.heavy,
        ),
        answers=Answers(shape=str, media_type=written.media_type),
        takes=Takes(
            body=asking.request, query=asking.look, most_bytes=asking.most_bytes
        ),
        guard=Guard(rate=_rate(asking), may_be_open=True),
    )


def _told_of(asking: AnyQuestion | AnyDrawing) -> str:
    return asking.tells + _WAITING if asking.searches else asking.tells


def _rate(asking: AnyQuestion | AnyDrawing) -> RateClass:
    return "search" if asking.searches else "check"


def _sources(reading: Reading | None, call: Call) -> Sources:
    club_id = "" if call.permit is None else call.club_id
    return Sources(reading, club_id)


def _inline_case(asking: AnyQuestion, reading: Reading | None, call: Call) -> Any:
    in_body = asking.asked_by == "body"
    request = call.body if in_body else call.query
    sources = _sources(reading, call)
    return asking.gather(sources, request)


def _recorded_case(asking: AnyOnRecord, reading: Reading | None, call: Call) -> Any:
    sources = _sources(reading, call)
    asked = call.query if asking.body is None else call.body
    return asking.gather(sources, call.path, asked)


def _case_to_draw(asking: AnyDrawing, reading: Reading | None, call: Call) -> Any:
    sources = _sources(reading, call)
    return asking.gather(sources, call.body, call.query)


def _page(asking: AnyInPages, reading: Reading | None, call: Call) -> _Page:
    path = asking.at.format(**call.path)
    asked = page_asked(call, path)
    after = asked.after()
    sources = _sources(reading, call)
    case = asking.gather(sources, call.path, call.query, after)
    return _Page(asked=asked, case=case)


def _of_the_case(
    heavy: Callable[[Any], bool] | None,
) -> Callable[[_Page], bool] | None:
    return None if heavy is None else lambda page: heavy(page.case)


def _reported(reckon: Callable[[Any], Any], case: Any) -> Reply:
    """Report what is reckoned: by its name, so that another process can."""
    return Reply(content=reckon(case))


def _shown(draw: Callable[[Any], str], case: Any) -> Reply:
    return shown(draw(case))


def _as_sheet(name: str, write: Callable[[Any], str], case: Any) -> Reply:
    disposition = (("content-disposition", f'attachment; filename="{name}"'),)
    return Reply(content=marked(write(case)), media_type=CSV, headers=disposition)


def _reported_page(reckon: Callable[[Any], Any], page: _Page) -> Reply:
    """Report a page with the address of the next one, where there is one."""
    told = reckon(page.case)
    return page.asked.answer(told.answer, told.then)
