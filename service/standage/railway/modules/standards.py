"""What a club's rules find out about one module, or about the length of one train.

A rule that asks for what is not known finds that it cannot tell, unless what is known
falls short by itself. No ends written down means that nobody can tell what they are
like.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from standage.railway.modules.boards import ModuleEnd, ModuleFigures
from standage.railway.modules.shortfalls import Shortfall
from standage.railway.modules.standard_places import (
    height_between_steps,
    tracks_off_place,
)
from standage.railway.modules.standard_rules import (
    BoardMass,
    Connector,
    EndStraight,
    HeightSteps,
    LeastPointsNumber,
    LeastRadius,
    LongestTrain,
    RailHeight,
    RailStep,
    Spacing,
    StandardRule,
    TrackPlace,
    WireAreaRule,
)
from standage.railway.slips.wire import wire_areas_mm2
from standage.railway.standing.verdicts import at_both_ends
from standage.railway.stock.extents import Extent, lacking, to_name
from standage.railway.terms.comparison import exceeds
from standage.railway.terms.figures import tidy
from standage.railway.terms.phrases import give_or_take, listed, millimetres

_Found = Iterator[Shortfall]


class _Figures(NamedTuple):
    """A figure in mm, the limit it is held against, and beyond that limit what is
    allowed all the same.
    """

    value_mm: float
    limit_mm: float
    end: str | None = None
    allowed_mm: float = 0.0

    @property
    def amount_mm(self) -> float:
        """By how much the limit is missed."""
        return abs(self.value_mm - self.limit_mm) - self.allowed_mm


def module_shortfalls(
    rules: Sequence[StandardRule], module: ModuleFigures
) -> Iterator[tuple[int, Shortfall]]:
    """Yield what falls short on ``module``, each with the place of its rule counted
    from 0.
    """
    for place, rule in enumerate(rules):
        look = _LOOKS.get(type(rule))
        if look is not None:
            yield from ((place, found) for found in look(rule, module))


def train_shortfalls(
    rules: Sequence[StandardRule], pulled_out: Extent
) -> Iterator[tuple[int, Shortfall]]:
    """Yield what falls short of a train so long pulled out, each with the place of its
    rule counted from 0.
    """
    for place, rule in enumerate(rules):
        if isinstance(rule, LongestTrain):
            yield from ((place, found) for found in _train_length(rule, pulled_out))


def _train_length(rule: LongestTrain, pulled_out: Extent) -> _Found:
    known_only = pulled_out.shortest() if pulled_out.missing else pulled_out
    spare_mm = tidy(rule.length_mm - known_only.known_mm)
    verdict = at_both_ends(known_only, room_mm=rule.length_mm, room_plus_minus_mm=0.0)
    if verdict == "does_not_fit":
        known = "it is at least" if pulled_out.missing else "it is"
        message = (
            f"{known} {millimetres(known_only.known_mm)} long pulled out,"
            f" {millimetres(-spare_mm)} more than allowed"
        )
        figures = _Figures(value_mm=known_only.known_mm, limit_mm=rule.length_mm)
        yield _missed("train_too_long", message, "train_length_mm", figures)
    elif pulled_out.missing or verdict == "cannot_tell":
        for reason in lacking(pulled_out.missing) or to_name(pulled_out.unsaid):
            yield _unknown(reason.field or "length_mm", reason.message)
    elif verdict == "tight":
        plus_minus_mm = tidy(pulled_out.plus_minus_mm)
        message = (
            f"it is {millimetres(pulled_out.known_mm)} long pulled"
            f" out{give_or_take(plus_minus_mm)}: too close to the"
            f" {millimetres(rule.length_mm)} allowed to tell"
        )
        yield Shortfall(
            verdict="cannot_tell",
            code="too_close_to_call",
            message=message,
            field="train_length_mm",
            value_mm=tidy(pulled_out.known_mm),
            limit_mm=rule.length_mm,
            plus_minus_mm=plus_minus_mm,
        )


def _radius(rule: LeastRadius, module: ModuleFigures) -> _Found:
    if module.no_curves or _of_another_class(rule, module):
        return
    known: list[tuple[str | None, float]] = [
        (end.name, end.minimum_radius_mm)
        for end in module.ends
        if end.minimum_radius_mm is not None
    ]
    if module.minimum_radius_mm is not None:
        known.insert(0, (None, module.minimum_radius_mm))
    sharp = [
        (end, radius_mm)
        for end, radius_mm in known
        if exceeds(rule.radius_mm, limit=radius_mm)
    ]
    if sharp and rule.class_of_line is not None and module.class_of_line is None:
        yield _unknown(
            "class_of_line",
            "say what class of line it is: on some its curves would be too sharp",
        )
    elif sharp:
        for end, radius_mm in sharp:
            where = (
                "its sharpest curve"
                if end is None
                else f"the sharpest curve towards {end}"
            )
            message = (
                f"{where} has a radius of {millimetres(radius_mm)};"
                f" {millimetres(rule.radius_mm)} is the least"
            )
            figures = _Figures(value_mm=radius_mm, limit_mm=rule.radius_mm, end=end)
            yield _missed("curve_too_sharp", message, "minimum_radius_mm", figures)
    elif module.minimum_radius_mm is None:
        yield _unknown(
            "minimum_radius_mm", "measure its sharpest curve, or say that it has none"
        )


def _of_another_class(
    rule: LeastRadius | LeastPointsNumber, module: ModuleFigures
) -> bool:
    return (
        rule.class_of_line is not None
        and module.class_of_line is not None
        and module.class_of_line != rule.class_of_line
    )


def _height(rule: RailHeight, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
        elif end.rail_height_mm is None:
            yield _unknown(
                "rail_height_mm",
                f"measure from the floor to the top of the rails at {end.name}",
                end=end,
            )
        elif exceeds(
            abs(end.rail_height_mm - rule.height_mm), limit=rule.plus_minus_mm
        ):
            off_mm = end.rail_height_mm - rule.height_mm
            message = (
                f"the rails at {end.name} lie {millimetres(end.rail_height_mm)} above"
                f" the floor, {millimetres(abs(off_mm))} too"
                f" {'high' if off_mm > 0 else 'low'}{_allowed(rule.plus_minus_mm)}"
            )
            figures = _Figures(
                end.rail_height_mm,
                rule.height_mm,
                end=end.name,
                allowed_mm=rule.plus_minus_mm,
            )
            yield _missed("rail_height_off", message, "rail_height_mm", figures)


def _step(rule: RailStep, module: ModuleFigures) -> _Found:
    known = [
        (end.rail_height_mm, end.name)
        for end in module.ends
        if end.rail_height_mm is not None
    ]
    if len(known) > 1:
        (low_mm, low), (high_mm, high) = min(known), max(known)
        if exceeds(high_mm - low_mm, limit=rule.step_mm):
            message = (
                f"the rails at {low} lie {millimetres(high_mm - low_mm)} below those at"
                f" {high}; {millimetres(rule.step_mm)} is allowed"
            )
            figures = _Figures(value_mm=high_mm - low_mm, limit_mm=rule.step_mm)
            yield _missed("rails_step", message, "rail_height_mm", figures)
            return
    silent = [end.name for end in module.ends if end.rail_height_mm is None]
    if silent and len(module.ends) > 1:
        yield _unknown(
            "rail_height_mm",
            f"measure from the floor to the top of the rails at {listed(silent)}",
        )
    elif not module.ends:
        yield _without_ends()


def _straight(rule: EndStraight, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
        elif end.straight_mm is None:
            yield _unknown(
                "straight_mm", f"measure the straight track before {end.name}", end=end
            )
        elif exceeds(rule.straight_mm, limit=end.straight_mm):
            message = (
                f"{millimetres(end.straight_mm)} of straight track lie before"
                f" {end.name}; {millimetres(rule.straight_mm)} is the least"
            )
            figures = _Figures(
                value_mm=end.straight_mm, limit_mm=rule.straight_mm, end=end.name
            )
            yield _missed("straight_too_short", message, "straight_mm", figures)


def _spacing(rule: Spacing, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
            continue
        for left, right in pairwise(
            sorted(end.tracks, key=lambda track: track.offset_mm)
        ):
            apart_mm = tidy(right.offset_mm - left.offset_mm)
            off_mm = apart_mm - rule.spacing_mm
            if exceeds(abs(off_mm), limit=rule.plus_minus_mm):
                message = (
                    f"{left.name} and {right.name} lie {millimetres(apart_mm)} apart at"
                    f" {end.name}, {millimetres(abs(off_mm))} too"
                    f" {'far' if off_mm > 0 else 'near'}{_allowed(rule.plus_minus_mm)}"
                )
                figures = _Figures(
                    apart_mm,
                    rule.spacing_mm,
                    end=end.name,
                    allowed_mm=rule.plus_minus_mm,
                )
                yield _missed("spacing_off", message, "tracks", figures)


def _connector(rule: Connector, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
        elif end.connector is None:
            yield _unknown(
                "connector", f"say what sort of connector is at {end.name}", end=end
            )
        elif _words(end.connector.type) != _words(rule.type):
            message = (
                f"the connector at {end.name} is of the sort {end.connector.type}, not"
                f" {rule.type}"
            )
            yield _wrong("connector_differs", message, "connector.type", end)
        elif rule.pins and not end.connector.pins:
            yield _unknown(
                "connector.pins",
                f"write down what each pin at {end.name} carries",
                end=end,
            )
        else:
            yield from _pins(
                rule, end, {pin.key: pin.carries for pin in end.connector.pins}
            )


def _pins(rule: Connector, end: ModuleEnd, carried: Mapping[str, str]) -> _Found:
    for pin in rule.pins:
        found = carried.get(pin.key)
        if found is None:
            message = (
                f"pin {pin.pin} at {end.name} carries nothing; it should carry"
                f" {pin.carries}"
            )
            yield _wrong("pin_missing", message, "connector.pins", end)
        elif _words(found) != _words(pin.carries):
            message = (
                f"pin {pin.pin} at {end.name} carries {found}; it should carry"
                f" {pin.carries}"
            )
            yield _wrong("pin_differs", message, "connector.pins", end)


def _track_places(rule: TrackPlace, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
        else:
            yield from tracks_off_place(rule, end.tracks, end=end.name)


def _height_steps(rule: HeightSteps, module: ModuleFigures) -> _Found:
    for end in _ends(module):
        if isinstance(end, Shortfall):
            yield end
        elif end.rail_height_mm is None:
            yield _unknown(
                "rail_height_mm",
                f"measure from the floor to the top of the rails at {end.name}",
                end=end,
            )
        else:
            yield from height_between_steps(
                rule, end=end.name, rail_height_mm=end.rail_height_mm
            )


def _points(rule: LeastPointsNumber, module: ModuleFigures) -> _Found:
    number = module.least_points_number
    if module.no_points or _of_another_class(rule, module):
        return
    if number is None:
        yield _unknown(
            "least_points_number",
            "say the number of its sharpest points, or that it has none",
        )
    elif not exceeds(rule.number, limit=number):
        return
    elif rule.class_of_line is not None and module.class_of_line is None:
        yield _unknown(
            "class_of_line",
            "say what class of line it is: on some its points would be too sharp",
        )
    else:
        yield Shortfall(
            verdict="fails",
            code="points_too_sharp",
            message=(
                f"its sharpest points are No. {number:g}; No. {rule.number:g} is the"
                " least"
            ),
            field="least_points_number",
            value_number=number,
            limit_number=rule.number,
        )


def _wire(rule: WireAreaRule, module: ModuleFigures) -> _Found:
    """Yield what the copper of the thinnest through wire lacks, by its area or by what
    it is called.
    """
    area_mm2 = module.wire_area_mm2
    areas_mm2 = wire_areas_mm2(module.wire or "") if area_mm2 is None else (area_mm2,)
    thin = [area for area in areas_mm2 if exceeds(rule.area_mm2, limit=area)]
    if not areas_mm2:
        yield _unknown(
            "wire_area_mm2", "say how many mm² of copper its thinnest through wire has"
        )
    elif thin and len(thin) < len(areas_mm2):
        may = " or ".join(f"{area:.2g}" for area in areas_mm2)
        message = (
            f"{module.wire} may have {may} mm² of copper: say AWG, SWG, mm² or mm"
            " across"
        )
        yield _unknown("wire", message)
    elif thin:
        area_mm2 = max(thin)
        yield Shortfall(
            verdict="fails",
            code="wire_too_thin",
            message=(
                f"its thinnest through wire has {area_mm2:.3g} mm² of copper;"
                f" {rule.area_mm2:g} mm² is the least"
            ),
            field="wire_area_mm2",
            value_mm2=area_mm2,
            limit_mm2=rule.area_mm2,
            amount_mm2=tidy(rule.area_mm2 - area_mm2),
        )


def _mass(rule: BoardMass, module: ModuleFigures) -> _Found:
    mass_g = None if module.board is None else module.board.mass_g
    if mass_g is None:
        yield _unknown("board.mass_g", "weigh its board with all that stays on it")
    elif exceeds(mass_g, limit=rule.mass_g):
        yield Shortfall(
            verdict="fails",
            code="board_too_heavy",
            message=(
                f"its board weighs {_kilograms(mass_g)}; {_kilograms(rule.mass_g)} is"
                " the most"
            ),
            field="board.mass_g",
            value_g=mass_g,
            limit_g=rule.mass_g,
            amount_g=tidy(mass_g - rule.mass_g),
        )


_LOOKS: Mapping[type, Callable[[Any, ModuleFigures], _Found]] = {
    LeastRadius: _radius,
    RailHeight: _height,
    RailStep: _step,
    EndStraight: _straight,
    Spacing: _spacing,
    Connector: _connector,
    WireAreaRule: _wire,
    BoardMass: _mass,
    TrackPlace: _track_places,
    HeightSteps: _height_steps,
    LeastPointsNumber: _points,
}


def _ends(module: ModuleFigures) -> Sequence[ModuleEnd | Shortfall]:
    return module.ends or (_without_ends(),)


def _without_ends() -> Shortfall:
    return _unknown("ends", "write down what its ends are like")


def _unknown(field: str, message: str, *, end: ModuleEnd | None = None) -> Shortfall:
    name = None if end is None else end.name
    return Shortfall(
        verdict="cannot_tell",
        code="missing_figure",
        message=message,
        field=field,
        end=name,
    )


def _wrong(code: str, message: str, field: str, end: ModuleEnd) -> Shortfall:
    return Shortfall(
        verdict="fails", code=code, message=message, field=field, end=end.name
    )


def _missed(code: str, message: str, field: str, figures: _Figures) -> Shortfall:
    return Shortfall(
        verdict="fails",
        code=code,
        message=message,
        field=field,
        end=figures.end,
        value_mm=tidy(figures.value_mm),
        limit_mm=figures.limit_mm,
        amount_mm=tidy(figures.amount_mm),
    )


def _allowed(plus_minus_mm: float) -> str:
    return (
        f"; {millimetres(plus_minus_mm)} either way is allowed" if plus_minus_mm else ""
    )


def _kilograms(mass_g: float) -> str:
    return f"{mass_g / 1000:.3f}".rstrip("0").rstrip(".") + " kg"


def _words(text: str) -> str:
    return " ".join(text.casefold().split())
