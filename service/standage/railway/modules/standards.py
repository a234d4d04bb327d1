"""What a club's rules find out about one module, or about the length of one train.

A rule that asks for what is not known finds that it cannot tell, unless what is known
falls short by itself. No ends written down means that nobody can tell what they are
like.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.shortfalls import Missed, Shortfall, missed, unknown
from standage.railway.modules.standard_ends import (
    Look,
    at_every_end,
    connector_differs,
    height_off,
    height_off_its_steps,
    spacing_off,
    straight_too_short,
    tracks_off_their_places,
    without_ends,
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
from standage.railway.terms.figures import (
    exceeds,
    give_or_take,
    listed,
    millimetres,
    tidy,
)

_Found = Iterator[Shortfall]
_NOWHERE = (0.0, "")


def module_shortfalls(
    rules: Sequence[StandardRule], module: ModuleFigures
) -> Iterator[tuple[int, Shortfall]]:
    """Yield what falls short on ``module``, each with the place of its rule counted
    from 0. **Source** the club's own rules.
    """
    for place, rule in enumerate(rules):
        look = _LOOKS.get(type(rule))
        if look is None:
            continue
        for found in look(rule, module):
            yield place, found


def train_shortfalls(
    rules: Sequence[StandardRule], pulled_out: Extent
) -> Iterator[tuple[int, Shortfall]]:
    """Yield what falls short of a train so long pulled out, each with the place of its
    rule counted from 0. **Source** the club's own rules.
    """
    for place, rule in enumerate(rules):
        if not isinstance(rule, LongestTrain):
            continue
        for found in _train_length(rule, pulled_out):
            yield place, found


def _train_length(rule: LongestTrain, pulled_out: Extent) -> _Found:
    known_only = pulled_out.shortest() if pulled_out.missing else pulled_out
    verdict = at_both_ends(known_only, room_mm=rule.length_mm, room_plus_minus_mm=0.0)
    if verdict == "does_not_fit":
        yield _too_long(rule, known_only, is_all=not pulled_out.missing)
    elif pulled_out.missing or verdict == "cannot_tell":
        reasons = lacking(pulled_out.missing) or to_name(pulled_out.unsaid)
        for reason in reasons:
            yield unknown(reason.field or "length_mm", reason.message)
    elif verdict == "tight":
        yield _too_close(rule, pulled_out)


def _too_long(rule: LongestTrain, known: Extent, *, is_all: bool) -> Shortfall:
    """Return that a train is too long, also where what is known of it already is."""
    over_mm = tidy(known.known_mm - rule.length_mm)
    it_is = "it is" if is_all else "it is at least"
    message = (
        f"{it_is} {millimetres(known.known_mm)} long pulled out,"
        f" {millimetres(over_mm)} more than allowed"
    )
    figures = Missed(
        value_mm=known.known_mm,
        limit_mm=rule.length_mm,
    )
    return missed("train_too_long", message, "train_length_mm", figures)


def _too_close(rule: LongestTrain, pulled_out: Extent) -> Shortfall:
    plus_minus_mm = tidy(pulled_out.plus_minus_mm)
    message = (
        f"it is {millimetres(pulled_out.known_mm)} long pulled"
        f" out{give_or_take(plus_minus_mm)}: too close to the"
        f" {millimetres(rule.length_mm)} allowed to tell"
    )
    return Shortfall(
        verdict="cannot_tell",
        code="too_close_to_call",
        message=message,
        field="train_length_mm",
        value_mm=tidy(pulled_out.known_mm),
        limit_mm=rule.length_mm,
        plus_minus_mm=plus_minus_mm,
    )


class _Curve(NamedTuple):
    """The sharpest curve of a module, or that towards one of its ends."""

    radius_mm: float
    end: str | None

    @property
    def where(self) -> str:
        if self.end is None:
            return "its sharpest curve"
        return f"the sharpest curve towards {self.end}"


def _radius(rule: LeastRadius, module: ModuleFigures) -> _Found:
    if module.no_curves or _of_another_class(rule, module):
        return
    sharp = [
        curve
        for curve in _known_curves(module)
        if exceeds(rule.radius_mm, limit=curve.radius_mm)
    ]
    if sharp and _class_matters(rule, module):
        message = "say what class of line it is: on some its curves would be too sharp"
        yield unknown("class_of_line", message)
    elif not sharp and module.minimum_radius_mm is None:
        message = "measure its sharpest curve, or say that it has none"
        yield unknown("minimum_radius_mm", message)
    else:
        for curve in sharp:
            yield _too_sharp(curve, rule)


def _known_curves(module: ModuleFigures) -> Iterator[_Curve]:
    if module.minimum_radius_mm is not None:
        yield _Curve(module.minimum_radius_mm, None)
    for end in module.ends:
        if end.minimum_radius_mm is not None:
            yield _Curve(end.minimum_radius_mm, end.name)


def _too_sharp(curve: _Curve, rule: LeastRadius) -> Shortfall:
    message = (
        f"{curve.where} has a radius of {millimetres(curve.radius_mm)};"
        f" {millimetres(rule.radius_mm)} is the least"
    )
    figures = Missed(
        value_mm=curve.radius_mm,
        limit_mm=rule.radius_mm,
        end=curve.end,
    )
    return missed("curve_too_sharp", message, "minimum_radius_mm", figures)


def _class_matters(
    rule: LeastRadius | LeastPointsNumber, module: ModuleFigures
) -> bool:
    """Tell whether the rule is of one class of line, and nobody says of which the
    module is.
    """
    return rule.class_of_line is not None and module.class_of_line is None


def _of_another_class(
    rule: LeastRadius | LeastPointsNumber, module: ModuleFigures
) -> bool:
    return (
        rule.class_of_line is not None
        and module.class_of_line is not None
        and module.class_of_line != rule.class_of_line
    )


def _step(rule: RailStep, module: ModuleFigures) -> _Found:
    known = [
        (end.rail_height_mm, end.name)
        for end in module.ends
        if end.rail_height_mm is not None
    ]
    low_mm, low = min(known, default=_NOWHERE)
    high_mm, high = max(known, default=_NOWHERE)
    found_mm = high_mm - low_mm
    silent = [end.name for end in module.ends if end.rail_height_mm is None]
    if exceeds(found_mm, limit=rule.step_mm):
        message = (
            f"the rails at {low} lie {millimetres(found_mm)} below those at"
            f" {high}; {millimetres(rule.step_mm)} is allowed"
        )
        figures = Missed(
            value_mm=found_mm,
            limit_mm=rule.step_mm,
        )
        yield missed("rails_step", message, "rail_height_mm", figures)
    elif not module.ends:
        yield without_ends()
    elif silent and len(module.ends) > 1:
        # From one end of a module that has no other there is no step.
        message = f"measure from the floor to the top of the rails at {listed(silent)}"
        yield unknown("rail_height_mm", message)


def _points(rule: LeastPointsNumber, module: ModuleFigures) -> _Found:
    number = module.least_points_number
    if module.no_points or _of_another_class(rule, module):
        return
    if number is None:
        yield unknown(
            "least_points_number",
            "say the number of its sharpest points, or that it has none",
        )
    elif not exceeds(rule.number, limit=number):
        return
    elif _class_matters(rule, module):
        yield unknown(
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
    areas_mm2 = _copper_mm2(module)
    thin = [area for area in areas_mm2 if exceeds(rule.area_mm2, limit=area)]
    if not areas_mm2:
        message = "say how many mm² of copper its thinnest through wire has"
        yield unknown("wire_area_mm2", message)
    elif thin and len(thin) < len(areas_mm2):
        # One meaning of its name keeps the rule, another does not.
        may = " or ".join(f"{area:.2g}" for area in areas_mm2)
        message = (
            f"{module.wire} may have {may} mm² of copper: say AWG, SWG, mm² or mm"
            " across"
        )
        yield unknown("wire", message)
    elif thin:
        yield _too_thin(rule, area_mm2=max(thin))


def _copper_mm2(module: ModuleFigures) -> tuple[float, ...]:
    """Return what copper the wire may have: several where its name means as many."""
    if module.wire_area_mm2 is not None:
        return (module.wire_area_mm2,)
    return wire_areas_mm2(module.wire or "")


def _too_thin(rule: WireAreaRule, *, area_mm2: float) -> Shortfall:
    message = (
        f"its thinnest through wire has {area_mm2:.3g} mm² of copper;"
        f" {rule.area_mm2:g} mm² is the least"
    )
    return Shortfall(
        verdict="fails",
        code="wire_too_thin",
        message=message,
        field="wire_area_mm2",
        value_mm2=area_mm2,
        limit_mm2=rule.area_mm2,
        amount_mm2=tidy(rule.area_mm2 - area_mm2),
    )


def _mass(rule: BoardMass, module: ModuleFigures) -> _Found:
    mass_g = None if module.board is None else module.board.mass_g
    if mass_g is None:
        yield unknown("board.mass_g", "weigh its board with all that stays on it")
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


_LOOKS: Mapping[type, Look] = {
    LeastRadius: _radius,
    RailHeight: at_every_end(height_off),
    RailStep: _step,
    EndStraight: at_every_end(straight_too_short),
    Spacing: at_every_end(spacing_off),
    Connector: at_every_end(connector_differs),
    WireAreaRule: _wire,
    BoardMass: _mass,
    TrackPlace: at_every_end(tracks_off_their_places),
    HeightSteps: at_every_end(height_off_its_steps),
    LeastPointsNumber: _points,
}


def _kilograms(mass_g: float) -> str:
    figure = f"{mass_g / 1000:.3f}"
    shown = figure.rstrip("0").rstrip(".")
    return f"{shown} kg"
