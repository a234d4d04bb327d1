"""How high must one track lie above another?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.question import Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.lineside.headroom import (
    Layer,
    LayerName,
    Tallest,
    measure_its_height,
    stacked,
    tallest,
)
from standage.railway.published.fixed_clearances import clear_above
from standage.railway.published.loading_gauges import loading_heights
from standage.railway.published.nem_102 import structure_height
from standage.railway.published.tables import ByTable, beside
from standage.railway.published.wires import wire_heights
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    HeadroomMm,
    HeightMm,
    Room,
    exceeds,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.faults import Fault, Ruled

HeadroomVerdict = Literal["found", "clear", "no_headroom", "cannot_tell"]

BARE_WIRE = (
    "a wire that carries current is bare: low voltage alone belongs on it, never the"
    " mains; switch it off before you reach beneath"
)


class HeadroomFigures(MayBeExact, frozen=True, kw_only=True):
    """What lies between two rails, one above the other."""

    rail_mm: Annotated[Room, says("The upper rail's own height, in mm.")]
    deck_mm: Annotated[
        Room | None, says("Deck and track bed beneath that rail, in mm; 0 if not said.")
    ] = None
    stock_mm: Annotated[
        HeightMm | None, says("How high the stock is that goes beneath, in mm.")
    ] = None
    scale: Annotated[
        ScaleName | None,
        says("The lower track's scale: alone it stands for any stock of it."),
    ] = None
    wire_mm: Annotated[
        Room | None, says("The room that a wire takes above the stock, in mm.")
    ] = None
    reserve_mm: Annotated[
        Room | None, says("What is to be left over, in mm; 0 if not said.")
    ] = None
    rail_to_rail_mm: Annotated[
        HeadroomMm | None,
        says("What there is from the top of one rail to that of the other, in mm."),
    ] = None


class HeadroomRequest(HeadroomFigures, Ruled, frozen=True, kw_only=True):
    """What lies between two rails, and what runs beneath."""

    vehicles: Annotated[
        Vehicles | None, says("What goes beneath, in place of stock_mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The stock's height is said in one way."""
        has_vehicles = self.vehicles is not None
        if self.stock_mm is not None and has_vehicles:
            message = "give stock_mm or vehicles, not both"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/vehicles",
            )
        elif self.stock_mm is None and not has_vehicles and self.scale is None:
            message = "stock_mm is missing: give it, or vehicles, or a scale"
            yield Fault(code="missing", message=message, pointer="/stock_mm")


class HeadroomCase(HeadroomFigures, frozen=True, kw_only=True):
    """All that the answer rests on."""

    vehicles: tuple[Vehicle, ...] = ()


class HeadroomAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How far one rail has to lie above the other, and what that is made of."""

    verdict: Annotated[
        HeadroomVerdict,
        says("Whether what there is does; found where nobody says what there is."),
    ]
    rail_to_rail_mm: Annotated[
        float | None, says("What is needed from rail to rail, in mm.")
    ]
    clear_mm: Annotated[
        float | None, says("Of that, from the lower rail to the deck, in mm.")
    ]
    spare_mm: Annotated[
        float | None, says("What there is beyond that, less than 0 where too little.")
    ]
    tallest: Annotated[str | None, says("The tallest vehicle that was measured.")]
    stack: Annotated[tuple[Layer, ...], says("Layer by layer, from the top.")]
    by_table: Annotated[
        tuple[ByTable, ...], says("What published standards have in this scale.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    cautions: Annotated[tuple[str, ...], says("What to mind all the same.")]
    warnings: Warnings = NOT_YET


@as_written
def gather(sources: Sources, request: HeadroomRequest) -> HeadroomCase:
    """Return the case that a request makes, with all it names on record resolved."""
    vehicles: tuple[Vehicle, ...] = ()
    if request.vehicles is not None:
        vehicles = sources.trains.vehicles(request.vehicles, "/vehicles")
    return HeadroomCase(
        rail_mm=request.rail_mm,
        deck_mm=request.deck_mm,
        stock_mm=request.stock_mm,
        scale=request.scale,
        wire_mm=request.wire_mm,
        reserve_mm=request.reserve_mm,
        rail_to_rail_mm=request.rail_to_rail_mm,
        vehicles=vehicles,
    )


@warned
def reckon(case: HeadroomCase) -> HeadroomAnswer:
    """Return the stack of ``case``, from the upper rail's top to the lower one's."""
    stock = _stock(case)
    height_mm = stock.height_mm
    stack = () if height_mm is None else _stack(case, height_mm)
    needed_mm = stack[0].to_mm if stack else None
    verdict = _verdict(case, stock)
    return HeadroomAnswer(
        verdict=verdict,
        rail_to_rail_mm=needed_mm,
        clear_mm=None if height_mm is None else _clear_mm(case, height_mm),
        spare_mm=_spare_mm(case, height_mm),
        tallest=stock.vehicle,
        stack=stack,
        by_table=tuple(_by_table(case, height_mm)),
        because=tuple(_because(case, stock, verdict)),
        assumed=(*told(stock.guesses), *_assumed(case)),
        cautions=(BARE_WIRE,) if case.wire_mm else (),
    )


def _stock(case: HeadroomCase) -> Tallest:
    if case.stock_mm is not None:
        return Tallest(measured_mm=case.stock_mm)
    if case.vehicles:
        return tallest(case.vehicles, scale=case.scale)
    if case.scale is None:
        return Tallest()
    return Tallest(at_most_mm=ample_height_mm(case.scale))


def _stack(case: HeadroomCase, height_mm: float) -> tuple[Layer, ...]:
    heights_mm: tuple[tuple[LayerName, float | None], ...] = (
        ("rail", case.rail_mm),
        ("deck", case.deck_mm),
        ("reserve", case.reserve_mm),
        ("wire", case.wire_mm),
        ("stock", height_mm),
    )
    return stacked((name, mm) for name, mm in heights_mm if mm is not None)


def _clear_mm(case: HeadroomCase, height_mm: float) -> float:
    above_mm = (case.wire_mm or 0.0) + (case.reserve_mm or 0.0)
    return tidy(height_mm + above_mm)


def _needed_mm(case: HeadroomCase, height_mm: float) -> float:
    return _stack(case, height_mm)[0].to_mm


def _spare_mm(case: HeadroomCase, height_mm: float | None) -> float | None:
    if case.rail_to_rail_mm is None or height_mm is None:
        return None
    return tidy(case.rail_to_rail_mm - _needed_mm(case, height_mm))


def _verdict(case: HeadroomCase, stock: Tallest) -> HeadroomVerdict:
    """Return whether it is high enough: what was measured decides against it, and only
    what may be among the rest for it.
    """
    is_unknown = stock.height_mm is None
    there_mm = case.rail_to_rail_mm
    if there_mm is None:
        return "cannot_tell" if is_unknown else "found"
    known_mm = stock.measured_mm or 0.0
    if exceeds(_needed_mm(case, known_mm), limit=there_mm):
        return "no_headroom"
    if stock.height_mm is None:
        return "cannot_tell"
    if not exceeds(_needed_mm(case, stock.height_mm), limit=there_mm):
        return "clear"
    return "cannot_tell"


def _because(
    case: HeadroomCase, stock: Tallest, verdict: HeadroomVerdict
) -> Iterator[Reason]:
    if verdict == "cannot_tell":
        yield from _to_measure(case, stock)
    height_mm = stock.height_mm
    if verdict == "no_headroom":
        height_mm = max(stock.measured_mm or 0.0, height_mm or 0.0)
    if height_mm is not None:
        if case.rail_to_rail_mm is not None:
            yield _judged(case, case.rail_to_rail_mm, height_mm, verdict)
        yield _summed(case, height_mm)
    if stock.vehicle is not None and stock.measured_mm is not None:
        message = (
            f"{stock.vehicle} is the tallest that was measured:"
            f" {millimetres(stock.measured_mm)}"
        )
        yield Reason(
            code="tallest",
            message=message,
            vehicle=stock.vehicle,
            value_mm=stock.measured_mm,
        )
    if verdict == "no_headroom":
        yield from stock.lacking


def _to_measure(case: HeadroomCase, stock: Tallest) -> Iterator[Reason]:
    """Yield what has to be measured: what is lacking, else what only the tallest stock
    of its scale is too high for.
    """
    yield from stock.lacking
    if stock.lacking:
        return
    names = dict.fromkeys(guess.vehicle for guess in stock.guesses)
    for name in names:
        yield measure_its_height(name)
    if not names:
        message = (
            "measure how high your tallest vehicle is: the tallest stock of the scale does"
            " not pass"
        )
        yield Reason(
            code="missing_figure",
            message=message,
            field="stock_mm",
            limit_mm=case.rail_to_rail_mm,
        )


def _judged(
    case: HeadroomCase, there_mm: float, height_mm: float, verdict: HeadroomVerdict
) -> Reason:
    needed_mm = _needed_mm(case, height_mm)
    spare_mm = tidy(there_mm - needed_mm)
    if verdict == "cannot_tell":
        code = "not_certain"
        how = f"{millimetres(-spare_mm)} less than the tallest stock may need"
    elif spare_mm < 0:
        code = "no_headroom"
        how = f"{millimetres(-spare_mm)} too little: raise the upper track"
    else:
        code = "headroom"
        how = "just enough" if spare_mm == 0 else f"{millimetres(spare_mm)} to spare"
    return Reason(
        code=code,
        message=f"from rail to rail there are {millimetres(there_mm)}, {how}",
        value_mm=there_mm,
        limit_mm=needed_mm,
        amount_mm=abs(spare_mm),
    )


def _summed(case: HeadroomCase, height_mm: float) -> Reason:
    stack = _stack(case, height_mm)
    needed_mm = stack[0].to_mm
    parts = [f"{one.layer} {_plain(one.height_mm)}" for one in stack]
    message = f"{' + '.join(parts)} = {_plain(needed_mm)} mm from rail to rail"
    return Reason(
        code="stack",
        message=message,
        value_mm=needed_mm,
    )


def _plain(mm: float) -> str:
    return millimetres(mm).removesuffix(" mm")


def _by_table(case: HeadroomCase, height_mm: float | None) -> Iterator[ByTable]:
    name = _scale_of(case)
    if name is None:
        return
    clear_mm = wire_at_mm = None
    if height_mm is not None:
        clear_mm = _clear_mm(case, height_mm)
    if height_mm is not None and case.wire_mm is not None:
        wire_at_mm = tidy(height_mm + case.wire_mm)
    if scale(name).practice == "american":
        yield beside(clear_above(name), geometry_mm=clear_mm)
        return
    yield beside(structure_height(name), geometry_mm=clear_mm)
    if scale(name).practice == "continental":
        for stock in loading_heights(name):
            yield beside(stock, geometry_mm=height_mm)
    for wire in wire_heights(name):
        yield beside(wire, geometry_mm=wire_at_mm)


def _scale_of(case: HeadroomCase) -> ScaleName | None:
    """Return the scale that was said, else the one that all vehicles are of."""
    if case.scale is not None:
        return case.scale
    named = {vehicle.scale for vehicle in case.vehicles}
    if len(named) != 1:
        return None
    return named.pop()


def _assumed(case: HeadroomCase) -> Iterator[Assumed]:
    if case.stock_mm is None and not case.vehicles and case.scale is not None:
        height_mm = ample_height_mm(case.scale)
        message = (
            f"the stock is taken to be {millimetres(height_mm)} high: no stock of scale"
            f" {case.scale} is higher"
        )
        yield Assumed(
            field="stock_mm",
            message=message,
            source="typical",
            value_mm=height_mm,
        )
    if case.deck_mm is None:
        message = "nothing is said of a deck beneath the upper rail: none is counted"
        yield Assumed(field="deck_mm", message=message, source="default", value_mm=0.0)
    if case.reserve_mm is None:
        message = "no reserve is said: stock may pass as near as it likes"
        yield Assumed(
            field="reserve_mm", message=message, source="default", value_mm=0.0
        )


_OVER_THE_QUARRY = {"rail_mm": 3.2, "deck_mm": 10, "stock_mm": 37, "scale": "N"}
QUESTION = Question(
    id="checkHeadroom",
    at="/v1/checks/headroom",
    asks="How high must one track lie above another?",
    tells=(
        "Rail to rail is rail, deck, reserve, a wire's room and the stock beneath, shown"
        " as a stack; and whether what there is does."
    ),
    request=HeadroomRequest,
    answer=HeadroomAnswer,
    gather=gather,
    reckon=reckon,
    example=_OVER_THE_QUARRY,
    refused={"rail_mm": 3.2, "deck_mm": 10},
    warns=Shows("unit", "stock_mm", {"stock_mm": 3.7}),
)
