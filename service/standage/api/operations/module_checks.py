"""The operations that ask about modules: whether two ends join, and who keeps to the
club's own standard.
"""

from typing import Annotated

import msgspec

from standage.api.web import pages
from standage.api.web.operation import Call, Operation, Reads, Reply
from standage.questions import module_join, standard_report
from standage.questions.sources import Sources
from standage.questions.standard_report import After, Asked, StandardReportCase
from standage.railway.terms.figures import IdOrName, says
from standage.registry.records.reading import Reading
from standage.shapes.faults import Fault, Faulty


class StandardReportQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which part of a report is wanted."""

    module_id: Annotated[IdOrName | None, says("Only this module.")] = None
    train_id: Annotated[IdOrName | None, says("Only this train.")] = None
    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    path: str
    query: dict[str, object]
    list_digest: str
    case: StandardReportCase


def module_operations() -> list[Operation]:
    """Return every question about modules and standards."""
    return [
        Operation(
            id="checkModuleJoin",
            method="POST",
            path="/v1/checks/module-join",
            tag="Questions",
            summary="Can these two ends of modules be put together?",
            description=(
                "Track by track, the rails' heights, and pin by pin: what meets what,"
                " and by how much it misses. Each end may be given inline or by its"
                " module's id and its name. Right and left are as seen looking out of"
                " each module."
            ),
            act=Reads(_ends, lambda case: Reply(content=module_join.reckon(case))),
            answer=module_join.ModuleJoinAnswer,
            body=module_join.ModuleJoinRequest,
            rate="check",
            may_be_open=True,
        ),
        Operation(
            id="getStandardReport",
            method="GET",
            path="/v1/standards/{standard_id}/report",
            tag="Questions",
            summary="Which modules and trains keep to the club's standard?",
            description=(
                "Every module and train that the rules are about, with the figure, the"
                " limit and the amount of each failure, and the reason where it is"
                " waived. Pages are joined by cursors: follow `next` until it is"
                " absent."
            ),
            act=Reads(_report_page, _reported),
            answer=standard_report.StandardReportAnswer,
            query=StandardReportQuery,
            rate="check",
            tagged=True,
        ),
    ]


def _ends(reading: Reading | None, call: Call) -> module_join.ModuleJoinCase:
    return module_join.gather(
        Sources(reading, "" if call.permit is None else call.club_id), call.body
    )


def _report_page(reading: Reading | None, call: Call) -> _Page:
    query = msgspec.structs.asdict(call.query)
    path = f"/v1/standards/{call.path['standard_id']}/report"
    list_digest = pages.digest(path, club_id=call.club_id, query=query)
    asked = Asked(
        module_id=query["module_id"],
        train_id=query["train_id"],
        after=_after(query["cursor"], list_digest=list_digest),
        limit=query["limit"],
    )
    case = standard_report.gather(
        Sources(reading, call.club_id), call.path["standard_id"], asked
    )
    return _Page(path=path, query=query, list_digest=list_digest, case=case)


def _after(cursor: str | None, *, list_digest: str) -> After | None:
    place = pages.after(cursor, list_digest=list_digest)
    if place is None:
        return None
    kind, colon, value = place[0].partition(":")
    if not colon:
        raise Faulty(
            [
                Fault(
                    code="bad_cursor",
                    message="is not a cursor of this list",
                    parameter="cursor",
                )
            ]
        )
    return After(kind=kind, value=value, id=place[1])


def _reported(page: _Page) -> Reply:
    answer, then = standard_report.reckon(page.case), page.case.then
    if then is None:
        return Reply(content=answer)
    value = f"{then.kind}:{then.value}"
    cursor = pages.cursor(list_digest=page.list_digest, value=value, record_id=then.id)
    address = pages.next_path(page.path, page.query, cursor_text=cursor)
    answer = msgspec.structs.replace(answer, next=address, next_cursor=cursor)
    return Reply(content=answer, headers=(("link", f'<{address}>; rel="next"'),))
