"""Vehicles that may meet on two tracks: what is known of them, what is lacking, and
what is said of a pair.
"""

from collections.abc import Iterable, Iterator

import msgspec

from standage.railway.curving.curves import on_curve
from standage.railway.passing.gaps import Pair, Passer, Tracks
from standage.railway.stock.bodies import BodyShape, shapes
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import with_types
from standage.railway.stock.extents import Missing, is_over_couplings
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import exceeds, millimetres, tidy
from standage.railway.terms.reasons import Guess, Reason
from standage.railway.terms.scales import ScaleName

_WIDTH = "width_mm"
_TYPICAL = CouplingTypes()


class PassingStock(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle with its bodies as far as they are known, and what was guessed to
    know them.
    """

    vehicle: Vehicle
    bodies: tuple[BodyShape, ...]
    guesses: tuple[Guess, ...]

    @property
    def ways(self) -> tuple[BodyShape, ...]:
        """Its bodies, one that may stand on its wheels in two ways once for each."""
        ways: list[BodyShape] = []
        for body in self.bodies:
            ways += body.ways
        return tuple(ways)

    def lacks(self, *, straight: bool) -> Iterator[Reason]:
        """Yield what has to be measured; on straight track the widths alone count."""
        for missing in self._missing():
            is_width = missing.field.endswith(_WIDTH)
            if is_width or not straight:
                yield _lack(missing, "to know what it passes")

    def lacks_for_curves(self) -> Iterator[Reason]:
        """Yield what has to be measured besides the widths."""
        for missing in self._missing():
            is_width = missing.field.endswith(_WIDTH)
            if not is_width:
                yield _lack(missing, "to know on which curves it passes")

    def _missing(self) -> Iterator[Missing]:
        for body in self.bodies:
            yield from body.missing

    def passers(self, *, straight: bool) -> Iterator[Passer]:
        """Yield those bodies whose figures are known; on straight track the widths
        alone count.
        """
        for body in self.ways:
            on_curves = None not in {body.pivots_mm, body.half_length_mm}
            if body.width_mm is None or not (straight or on_curves):
                continue
            yield Passer(
                vehicle=self.vehicle.name,
                width_mm=body.width_mm,
                width_plus_minus_mm=body.width_plus_minus_mm,
                pivots_mm=body.pivots_mm or 0.0,
                bogie_wheelbase_mm=body.bogie_wheelbase_mm,
                half_length_mm=body.half_length_mm or 0.0,
                pivots_given=body.pivots_given,
            )


def _lack(missing: Missing, why: str) -> Reason:
    message = f"{missing.vehicle}: measure {missing.words}, {why}"
    return Reason(
        code="missing_figure",
        message=message,
        vehicle=missing.vehicle,
        field=missing.field,
    )


def passing_stock(
    vehicles: Iterable[Vehicle],
    *,
    scale: ScaleName | None,
    types: CouplingTypes = _TYPICAL,
) -> tuple[PassingStock, ...]:
    """Return each different vehicle with its bodies; one that gives no scale is of
    ``scale``.

    What its couplings reach, their ``types``' figures counted, is taken off a length
    over couplings. **Source** derived.
    """
    # like vehicles once, in their order
    of_scale: dict[Vehicle, None] = {}
    for vehicle in vehicles:
        scaled = vehicle
        if vehicle.scale is None:
            scaled = msgspec.structs.replace(vehicle, scale=scale)
        of_scale[scaled] = None
    return tuple(_known(vehicle, types) for vehicle in of_scale)


def _known(vehicle: Vehicle, types: CouplingTypes) -> PassingStock:
    filled, by_type = with_types(vehicle, types=types)
    bodies = shapes(filled)
    guesses: list[Guess] = []
    for body in bodies:
        guesses += body.guesses
    # only there is what the couplings reach a part of the length
    if is_over_couplings(vehicle):
        guesses += [guess for guess in by_type if guess.field.endswith("reach_mm")]
    return PassingStock(
        vehicle=filled,
        bodies=bodies,
        guesses=tuple(guesses),
    )


def at_their_widest(stock: PassingStock) -> PassingStock:
    """Return a vehicle whose bodies are as wide as they are low down, where that is
    wider: two engines' cylinders meet at one height, and a platform is met low down.

    Not for how far an end swings out of a leg of points: there what is wider swings out
    the less. **Source** derived.
    """
    low_down_mm = _widths_low_down_mm(stock.vehicle)
    bodies = [
        _widened(body, width_mm)
        for body, width_mm in zip(stock.bodies, low_down_mm, strict=True)
    ]
    return msgspec.structs.replace(stock, bodies=tuple(bodies))


def _widths_low_down_mm(vehicle: Vehicle) -> list[float | None]:
    """Return the width low down of each body: its own, else the vehicle's."""
    whole_mm = vehicle.width_at_platform_mm
    if vehicle.bodies is None:
        return [whole_mm]
    return [body.width_at_platform_mm or whole_mm for body in vehicle.bodies]


def _widened(body: BodyShape, low_down_mm: float | None) -> BodyShape:
    if low_down_mm is None:
        return body
    also = None
    if body.also is not None:
        also = _widened(body.also, low_down_mm)
    if body.width_mm is None or low_down_mm <= body.width_mm:
        return msgspec.structs.replace(body, also=also)
    return msgspec.structs.replace(body, width_mm=low_down_mm, also=also)


def cannot_stand(passers: Iterable[Passer], tracks: Tracks) -> Iterator[Reason]:
    """Yield the bodies of measured wheels that cannot be on the inner track at all:
    nothing is left to measure. Radii in mm. **Source** derived: a chord is no longer
    than the curve is across.
    """
    for passer in passers:
        if passer.pivots_given and not passer.stands_on(tracks.inner_radius_mm):
            message = (
                f"{passer.vehicle} cannot stand on the inner track: its wheelbase is"
                " longer than the curve is across"
            )
            yield Reason(
                code="cannot_stand",
                message=message,
                vehicle=passer.vehicle,
                value_mm=passer.pivots_mm,
            )


def may_not_stand(passers: Iterable[Passer], tracks: Tracks) -> Iterator[Reason]:
    """Yield the vehicles whose wheels nobody measured that could not be there with the
    wheels such stock mostly has. **Source** derived.
    """
    guessed = (passer for passer in passers if not passer.pivots_given)
    for vehicle in dict.fromkeys(
        one.vehicle for one in guessed if not one.stands_on(tracks.inner_radius_mm)
    ):
        message = (
            f"{vehicle}: measure between its bogies' middles, or its rigid wheelbase; "
            "as such stock mostly is, it cannot stand on the inner track"
        )
        yield Reason(
            code="may_not_stand",
            message=message,
            vehicle=vehicle,
            field="bogie_centres_mm",
        )


def said(pair: Pair, *, margin_mm: float) -> Reason:
    """Return the reason in plain words that the worst pair gives. The margin is in mm.
    **Source** plain English.
    """
    where = f"{pair.on_outer} on the outer track and {pair.on_inner} on the inner one"
    doubt = f" (± {millimetres(pair.plus_minus_mm)})" if pair.plus_minus_mm else ""
    amount_mm: float | None = None
    if pair.overlaps():
        code = "bodies_overlap"
        amount_mm = tidy(-pair.gap_mm)
        message = f"{where} overlap by {millimetres(amount_mm)}{doubt}"
    elif pair.keeps(margin_mm):
        code = "margin_kept"
        left = millimetres(pair.gap_mm)
        message = f"{where} leave {left}{doubt} between them"
    else:
        code = "less_than_margin"
        short = _short_of(pair, margin_mm)
        message = f"{where} leave {_left(pair)}{doubt}: {short}"
        if _surely_short(pair, margin_mm):
            amount_mm = tidy(margin_mm - pair.gap_mm)
    return Reason(
        code=code,
        message=message,
        vehicle=pair.on_outer,
        other_vehicle=pair.on_inner,
        value_mm=tidy(pair.gap_mm),
        limit_mm=margin_mm,
        amount_mm=amount_mm,
    )


def _left(pair: Pair) -> str:
    """Return the gap in words, where bodies that overlap by less than the ± may not
    touch.
    """
    if pair.gap_mm >= 0:
        return millimetres(pair.gap_mm)
    return f"an overlap of {millimetres(-pair.gap_mm)}"


def _surely_short(pair: Pair, margin_mm: float) -> bool:
    at_most_mm = pair.gap_mm + pair.plus_minus_mm
    return exceeds(margin_mm, limit=at_most_mm)


def _short_of(pair: Pair, margin_mm: float) -> str:
    margin = millimetres(margin_mm)
    if not _surely_short(pair, margin_mm):
        return f"the margin of {margin} is not certain"
    short = millimetres(margin_mm - pair.gap_mm)
    return f"{short} less than the margin of {margin}"


def never_there(stock: Iterable[PassingStock], tracks: Tracks) -> Iterator[Reason]:
    """Yield which of the vehicles will not be met on the inner track, since they do not
    run there. **Source** derived.
    """
    radius_mm = tracks.inner_radius_mm
    for one in stock:
        found = on_curve(one.vehicle, radius_mm=radius_mm)
        if found.verdict != "does_not_run":
            continue
        name = one.vehicle.name
        message = (
            f"{name} does not run on {radius_mm:g} mm: leave it out to judge the inner"
            " track"
        )
        yield Reason(
            code="does_not_run_there",
            message=message,
            vehicle=name,
            value_mm=radius_mm,
        )
