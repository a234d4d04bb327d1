"""The reverse questions, what all trains and places come to, and where trains are put
away.
"""

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any

import msgspec

from standage.api.web import pages
from standage.api.web.operation import Call, Operation, Reads, Reply
from standage.questions import (
    fill,
    layout_fits,
    layout_limits,
    longest_train,
    parts,
    road_allocation,
    unsuitable_stock,
    wish_list,
)
from standage.questions.whole_lists import WholeLists
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.terms.figures import says
from standage.registry.records.reading import Reading

_CHECK: dict[str, Any] = {
    "method": "POST",
    "tag": "Questions",
    "rate": "check",
    "may_be_open": True,
}
_ASK: dict[str, Any] = {
    "method": "GET",
    "tag": "Questions",
    "rate": "check",
    "tagged": True,
}
_PAGES = " Pages are joined by cursors: follow `next` until it is absent."
_BOUND = " The search is exact within a budget of steps, and says what it proved."


class CurveStockQuery(unsuitable_stock.UnsuitableStockQuery, frozen=True, kw_only=True):
    """Which curve, which of the club's vehicles, and which page."""

    limit: unsuitable_stock.LookedAt = unsuitable_stock.MOST_LOOKED_AT
    cursor: pages.Cursor | None = None


class LayoutFitsQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which pairs of a train and a place are wanted."""

    verdict: Annotated[FitVerdict | None, says("Only pairs of this verdict.")] = None
    standing: Annotated[
        FitVerdict | None, says("Only pairs of which this was found of standing.")
    ] = None
    reaching: Annotated[
        CurveVerdict | None,
        says("Only pairs of which this was found of reaching the place."),
    ] = None
    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    """A page of a list that is reckoned: its address, what was asked, and what it rests
    on.
    """

    path: str
    query: dict[str, object]
    list_digest: str
    case: Any


def reverse_operations() -> list[Operation]:
    """Return every question of this sort."""
    return [*_of_stock(), *_of_roads(), *_of_places(), *_of_layouts(), _of_curves()]


def _of_stock() -> list[Operation]:
    return [
        Operation(
            **_CHECK,
            heavy=longest_train.is_heavy,
            id="checkLongestTrain",
            path="/v1/checks/longest-train",
            summary=(
                "What is the longest train of these vehicles that stands in this place?"
            ),
            description=(
                "Engines in front, then vehicles of the pool: as many as can be, or as"
                " long as can be. It fits for certain, its couplings take hold, and no"
                " vehicle is known not to get there."
            )
            + _BOUND,
            act=Reads(
                _inline_case(longest_train.gather), partial(_told, longest_train.reckon)
            ),
            answer=longest_train.LongestTrainAnswer,
            body=longest_train.LongestTrainRequest,
        ),
        Operation(
            **_CHECK,
            id="checkWishList",
            path="/v1/checks/wish-list",
            summary="Which of these vehicles, not bought yet, would suit?",
            description=(
                "Each vehicle against all places of a layout, against places, a curve,"
                " or all of these, and what speaks against it."
            ),
            act=Reads(_inline_case(wish_list.gather), partial(_told, wish_list.reckon)),
            answer=wish_list.WishListAnswer,
            body=wish_list.WishListRequest,
        ),
    ]


def _of_roads() -> list[Operation]:
    return [
        Operation(
            **_CHECK,
            heavy=road_allocation.is_heavy,
            id="checkRoadAllocation",
            path="/v1/checks/road-allocation",
            summary="Do all these trains go into these roads at once?",
            description=(
                "Nose to tail where they fit, some roads kept empty: the fewest left"
                " over, of as few the least length, and why each is left over."
            )
            + _BOUND,
            act=Reads(
                _inline_case(road_allocation.gather),
                partial(_told, road_allocation.reckon),
            ),
            answer=road_allocation.RoadAllocationAnswer,
            body=road_allocation.RoadAllocationRequest,
        ),
        Operation(
            **_CHECK,
            id="checkFill",
            path="/v1/checks/fill",
            summary="How full are these roads?",
            description=(
                "Each road with the trains that stand in it, the fiddle yard, and all"
                " of it: against half, at which a yard works, and four-fifths."
            ),
            act=Reads(_inline_case(fill.gather), partial(_told, fill.reckon)),
            answer=fill.FillAnswer,
            body=fill.FillRequest,
        ),
        Operation(
            **_CHECK,
            heavy=parts.is_heavy,
            id="checkParts",
            path="/v1/checks/parts",
            summary="In how few parts does a train go onto a traverser?",
            description=(
                "Onto a traverser, a sector plate, a turntable or a cassette, part"
                " after part, its vehicles in order: the fewest parts, proved, with"
                " what each leaves over."
            ),
            act=Reads(_inline_case(parts.gather), partial(_told, parts.reckon)),
            answer=parts.PartsAnswer,
            body=parts.PartsRequest,
        ),
    ]


def _of_places() -> list[Operation]:
    return [
        Operation(
            **_ASK,
            heavy=longest_train.is_heavy,
            id="getPlaceLongestTrain",
            path="/v1/layouts/{layout_id}/places/{place_id}/longest-train",
            summary="What is the longest train of our stock for this place?",
            description=(
                "As the inline question, chosen from the club's vehicles: all but"
                " engines where no kind is asked for, the engines asked for in front."
            )
            + _BOUND,
            act=Reads(_place_longest, partial(_told, longest_train.reckon)),
            answer=longest_train.LongestTrainAnswer,
            query=longest_train.PlaceLongestTrainQuery,
        )
    ]


def _of_layouts() -> list[Operation]:
    return [
        Operation(
            **_ASK,
            id="getLayoutLimits",
            path="/v1/layouts/{layout_id}/limits",
            summary="What may come to this layout?",
            description=(
                "The limits to publish to visitors: longest train, sharpest curve,"
                " steepest gradient, headroom, closest tracks, scale, gauge and wheels,"
                " each with the place it is from; then every place's own."
            ),
            act=Reads(_layout_limits, partial(_told, layout_limits.reckon)),
            answer=layout_limits.LayoutLimitsAnswer,
        ),
        Operation(
            **_ASK,
            heavy=_fits_heavily,
            id="getLayoutFits",
            path="/v1/layouts/{layout_id}/fits",
            summary="Which of our trains fit which places of this layout?",
            description=(
                "Every train on record against every place, by the train's name and"
                " then the place's: whether it stands there, and whether it gets there."
            )
            + _PAGES,
            act=Reads(_layout_fits, _fits_told),
            answer=layout_fits.LayoutFitsAnswer,
            query=LayoutFitsQuery,
        ),
        Operation(
            **_ASK,
            heavy=fill.is_heavy,
            id="getLayoutFill",
            path="/v1/layouts/{layout_id}/fill",
            summary="How full is this layout with all our trains?",
            description=(
                "All trains on record are put into its roads, the fewest left over;"
                " each road, the fiddle yard and the layout against half and"
                " four-fifths."
            ),
            act=Reads(_layout_fill, partial(_told, fill.reckon)),
            answer=fill.FillAnswer,
            query=fill.LayoutFillQuery,
        ),
    ]


def _of_curves() -> Operation:
    return Operation(
        **_ASK,
        id="getUnsuitableStock",
        path="/v1/curves/unsuitable-stock",
        summary="Which of our vehicles may not use this curve?",
        description=(
            "Those that do not run on it, those of which too little is known, and those"
            " that may or may not; a page looks at so many vehicles by name."
        )
        + _PAGES,
        act=Reads(_unsuitable, _unsuitable_told),
        answer=unsuitable_stock.UnsuitableStockAnswer,
        query=CurveStockQuery,
    )


def _told(reckon: Callable[[Any], Any], case: Any) -> Reply:
    return Reply(content=reckon(case))


def _inline_case(
    gather: Callable[[WholeLists, Any], Any],
) -> Callable[[Reading | None, Call], Any]:
    return lambda reading, call: gather(_lists(reading, call), call.body)


def _lists(reading: Reading | None, call: Call) -> WholeLists:
    return WholeLists(reading, "" if call.permit is None else call.club_id)


def _place_longest(
    reading: Reading | None, call: Call
) -> longest_train.LongestTrainCase:
    return longest_train.case_of(
        _lists(reading, call), call.path["layout_id"], call.path["place_id"], call.query
    )


def _layout_limits(
    reading: Reading | None, call: Call
) -> layout_limits.LayoutLimitsCase:
    return layout_limits.gather(_lists(reading, call), call.path["layout_id"])


def _layout_fill(reading: Reading | None, call: Call) -> fill.FillCase:
    return fill.case_of(_lists(reading, call), call.path["layout_id"], call.query)


def _page(path: str, call: Call) -> tuple[dict[str, object], str]:
    query = msgspec.structs.asdict(call.query)
    return query, pages.digest(path, club_id=call.club_id, query=query)


def _unsuitable(reading: Reading | None, call: Call) -> _Page:
    path = "/v1/curves/unsuitable-stock"
    query, list_digest = _page(path, call)
    case = unsuitable_stock.case_of(
        _lists(reading, call),
        call.query,
        after=pages.after(call.query.cursor, list_digest=list_digest),
        limit=call.query.limit,
    )
    return _Page(path=path, query=query, list_digest=list_digest, case=case)


def _unsuitable_told(page: _Page) -> Reply:
    return _joined(page, unsuitable_stock.reckon(page.case), page.case.then)


def _layout_fits(reading: Reading | None, call: Call) -> _Page:
    path = f"/v1/layouts/{call.path['layout_id']}/fits"
    query, list_digest = _page(path, call)
    after = pages.after(call.query.cursor, list_digest=list_digest)
    case = layout_fits.case_of(
        _lists(reading, call),
        call.path["layout_id"],
        after=None if after is None else _pair(*after),
        limit=call.query.limit,
        wanted=layout_fits.Wanted(
            verdict=call.query.verdict,
            standing=call.query.standing,
            reaching=call.query.reaching,
        ),
    )
    return _Page(path=path, query=query, list_digest=list_digest, case=case)


def _pair(value: str, ids: str) -> layout_fits.After:
    """Return the pair that a cursor stands for: the train's place in the order, then
    the two ids.
    """
    train_id, _, place_id = ids.partition(" ")
    return layout_fits.After(train=(value, train_id), place_id=place_id)


def _fits_heavily(page: _Page) -> bool:
    return layout_fits.is_heavy(page.case)


def _fits_told(page: _Page) -> Reply:
    told = layout_fits.reckon(page.case)
    then = told.then
    return _joined(
        page,
        told.answer,
        None if then is None else (then.train[0], f"{then.train[1]} {then.place_id}"),
    )


def _joined(page: _Page, answer: Any, then: tuple[str, str] | None) -> Reply:
    """Return a page's answer with the address of the next one, where there is one."""
    if then is None:
        return Reply(content=answer)
    cursor = pages.cursor(
        list_digest=page.list_digest, value=then[0], record_id=then[1]
    )
    address = pages.next_path(page.path, page.query, cursor_text=cursor)
    answer = msgspec.structs.replace(answer, next=address, next_cursor=cursor)
    return Reply(content=answer, headers=(("link", f'<{address}>; rel="next"'),))
