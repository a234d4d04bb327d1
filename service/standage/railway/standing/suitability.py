"""Whether a vehicle reaches a road, its length apart: gauge, scale, wheels, curves, and
what hangs above.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import chain

import msgspec

from standage.railway.curving.evidence import judge
from standage.railway.curving.known_vehicles import KnownVehicle, known_vehicle
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.roads.allowances import called
from standage.railway.roads.places import Place
from standage.railway.standing.verdicts import Finding, FitVerdict, overall
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import exceeds, goes_into, millimetres, tidy
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.reasons import Guess, Reason, Source, worst
from standage.railway.terms.scales import ScaleName, same_scale, scale
from standage.shapes.remembering import remembered

SAME_GAUGE = 0.02
"""Gauges that differ by no more, as a part of one, are one: nominal figures of one
gauge do (18.0 and 18.2 mm).
"""

_AS_FIT: dict[CurveVerdict, FitVerdict] = {
    "does_not_run": "does_not_fit",
    "cannot_tell": "cannot_tell",
    "marginal": "tight",
    "runs": "fits",
}
_AS_CURVE: dict[FitVerdict, CurveVerdict] = {
    fit: curve for curve, fit in _AS_FIT.items()
}
_TYPICAL = CouplingTypes()


class Suited(msgspec.Struct, frozen=True, kw_only=True):
    """What was found out of one vehicle on its way to a road, and what was guessed for
    it.

    ``curve_said`` tells whether the road says how sharp the curves are.
    """

    findings: tuple[Finding, ...]
    guesses: tuple[Guess, ...]
    curve_said: bool

    @property
    def reaching(self) -> CurveVerdict:
        """Whether it gets there, by the worst of what was found; nobody can tell where
        no curve is said.
        """
        found = _AS_CURVE[overall(self.findings)]
        if self.curve_said:
            return found
        return worst((found, "cannot_tell"), order=WORST_FIRST)

    @property
    def suits(self) -> bool:
        """Whether nothing speaks against it, as far as the road says."""
        return self._verdicts <= {"fits"}

    @property
    def barred(self) -> bool:
        """Whether it does not get there for certain."""
        return "does_not_fit" in self._verdicts

    @property
    def _verdicts(self) -> set[FitVerdict]:
        return {finding.verdict for finding in self.findings}

    def against(self) -> Iterator[Finding]:
        """Yield what speaks against it, or is not known; not the mere notes."""
        for finding in self.findings:
            if finding.verdict != "fits":
                yield finding


def reaching_of(each: Iterable[Suited]) -> CurveVerdict:
    """Return whether a train of such vehicles gets there: the worst of any. There is
    one at least. **Source** derived.
    """
    verdicts = [one.reaching for one in each]
    return worst(verdicts, order=WORST_FIRST)


_Found = Iterator[Finding | Guess]


@remembered()
def suited(
    vehicle: Vehicle, place: Place, *, types: CouplingTypes = _TYPICAL
) -> Suited:
    """Return how ``vehicle`` gets to ``place``, compared in all that the place says of
    itself.

    Another gauge or a curve it does not run on is ``does_not_fit``, as is a height over
    the headroom; other wheels are ``cannot_tell``; another scale on the same gauge is
    only noted. What the vehicle does not say of gauge, scale and wheels is taken to be
    the road's, and told as a guess; ``types`` supply what is not given of its
    couplings. **Source** NEM 010 (2011) for scales and gauges; derived.
    """
    findings: list[Finding] = []
    guesses: list[Guess] = []
    told = chain(
        _by_gauge(vehicle, place),
        _by_wheels(vehicle, place),
        _by_curve(vehicle, place, types),
        _by_height(vehicle, place),
    )
    for one in told:
        if isinstance(one, Finding):
            findings.append(one)
        else:
            guesses.append(one)
    return Suited(
        findings=tuple(findings),
        guesses=tuple(guesses),
        curve_said=place.no_curves or place.minimum_radius_mm is not None,
    )


class OnTheWay:
    """One vehicle on its way to many roads: what is known of it for curves is found out
    once.
    """

    def __init__(self, vehicle: Vehicle, *, types: CouplingTypes = _TYPICAL) -> None:
        self._vehicle = vehicle
        self._types = types

    def reaching_apart_from_curves(self, place: Place) -> CurveVerdict:
        """Return whether it gets to ``place`` by gauge, wheels and height. **Source**
        as ``suited``.
        """
        straight = msgspec.structs.replace(
            place, minimum_radius_mm=None, no_curves=True
        )
        return suited(self._vehicle, straight, types=self._types).reaching

    def on_radii(self, radii_mm: Sequence[float]) -> list[CurveVerdict]:
        """Return whether it runs on each of ``radii_mm``, which rise. A larger radius
        never runs worse, so that few are looked at. **Source** as ``suited``.
        """
        found: list[CurveVerdict] = ["runs"] * len(radii_mm)
        if found:
            self._fill(found, radii_mm, first=0, last=len(radii_mm) - 1)
        return found

    def _fill(
        self,
        found: list[CurveVerdict],
        radii_mm: Sequence[float],
        *,
        first: int,
        last: int,
    ) -> None:
        lowest, highest = self._on(radii_mm[first]), self._on(radii_mm[last])
        found[first], found[last] = lowest, highest
        if last - first < 2:  # noqa: PLR2004 - none lies between them
            return
        if lowest == highest:
            found[first:last] = [lowest] * (last - first)
            return
        middle = (first + last) // 2
        self._fill(found, radii_mm, first=first, last=middle)
        self._fill(found, radii_mm, first=middle, last=last)

    @cached_property
    def _known(self) -> KnownVehicle:
        return known_vehicle(self._vehicle, types=self._types)

    def _on(self, radius_mm: float) -> CurveVerdict:
        verdict = self._found.get(radius_mm)
        if verdict is None:
            verdict = judge(self._known, radius_mm=radius_mm).verdict
            self._found[radius_mm] = verdict
        return verdict

    @cached_property
    def _found(self) -> dict[float, CurveVerdict]:
        return {}


def not_compared(place: Place) -> tuple[str, ...]:
    """Return the fields that ``place`` leaves open, so that no vehicle could be held
    against it there. **Source** derived.
    """
    said = {
        "gauge_mm": _gauge_mm(place.gauge_mm, place.scale) is not None,
        "scale": place.scale is not None,
        "wheels": place.wheels is not None,
        "minimum_radius_mm": place.no_curves or place.minimum_radius_mm is not None,
        "headroom_mm": place.headroom_unlimited or place.headroom_mm is not None,
    }
    return tuple(field for field, is_said in said.items() if not is_said)


def ample_headroom_mm(vehicle: Vehicle, place: Place) -> float | None:
    """Return the headroom under which any stock of the vehicle's scale passes; None
    where no such figure is known.

    The road's scale counts where the vehicle's is not said. **Source**
    ``terms.nem.ample_height_mm``.
    """
    name = vehicle.scale or place.scale
    if name is None:
        return None
    return ample_height_mm(name, practice=vehicle.practice)


def _gauge_mm(gauge_mm: float | None, name: ScaleName | None) -> float | None:
    if gauge_mm is not None or name is None:
        return gauge_mm
    return scale(name).gauge_mm


def _by_gauge(vehicle: Vehicle, place: Place) -> _Found:
    its_mm, road_mm = (
        _gauge_mm(vehicle.gauge_mm, vehicle.scale),
        _gauge_mm(place.gauge_mm, place.scale),
    )
    if road_mm is not None and its_mm is None:
        yield _taken(
            vehicle,
            "gauge_mm",
            f"its gauge is taken to be the road's, {millimetres(road_mm)}",
            value_mm=road_mm,
        )
    elif (
        road_mm is not None
        and its_mm is not None
        and abs(its_mm / road_mm - 1) > SAME_GAUGE
    ):
        message = (
            f"{vehicle.name} runs on {millimetres(its_mm)} gauge, {called(place)} has"
            f" {millimetres(road_mm)}"
        )
        reason = Reason(
            code="gauge_differs",
            message=message,
            vehicle=vehicle.name,
            value_mm=its_mm,
            limit_mm=road_mm,
        )
        yield Finding(verdict="does_not_fit", reason=reason)
        return
    if place.scale is not None and vehicle.scale is None:
        yield _taken(
            vehicle, "scale", f"its scale is taken to be the road's, {place.scale}"
        )
    elif (
        place.scale is not None
        and vehicle.scale is not None
        and not same_scale(vehicle.scale, place.scale)
    ):
        message = (
            f"{vehicle.name} is of scale {vehicle.scale}, {called(place)} of"
            f" {place.scale}: it runs, but looks odd"
        )
        yield Finding(
            verdict="fits",
            reason=Reason(code="other_scale", message=message, vehicle=vehicle.name),
        )


def _by_wheels(vehicle: Vehicle, place: Place) -> _Found:
    if place.wheels is None:
        return
    if vehicle.wheels is None:
        yield _taken(
            vehicle,
            "wheels",
            f"its wheels are taken to suit the road, which is laid for {place.wheels}",
        )
    elif vehicle.wheels.casefold() != place.wheels.casefold():
        message = (
            f"{vehicle.name} has {vehicle.wheels} wheels, {called(place)} is laid for"
            f" {place.wheels}: try it through the points before the show"
        )
        reason = Reason(
            code="wheels_differ", message=message, vehicle=vehicle.name, field="wheels"
        )
        yield Finding(verdict="cannot_tell", reason=reason)


def _by_curve(vehicle: Vehicle, place: Place, types: CouplingTypes) -> _Found:
    if place.minimum_radius_mm is None:
        return
    known = known_vehicle(vehicle, types=types)
    judged = judge(known, radius_mm=place.minimum_radius_mm)
    yield from judged.guesses
    if judged.by_length:
        yield from known.by_type
    if judged.verdict != "runs":
        for reason in judged.because:
            yield Finding(verdict=_AS_FIT[judged.verdict], reason=reason)


def _by_height(vehicle: Vehicle, place: Place) -> _Found:
    headroom_mm = place.headroom_mm
    if headroom_mm is None:
        return
    if vehicle.height_mm is not None:
        if exceeds(vehicle.height_mm, limit=headroom_mm):
            yield Finding(
                verdict="does_not_fit",
                reason=_too_high(vehicle, vehicle.height_mm, place, headroom_mm),
            )
        return
    ample_mm = ample_headroom_mm(vehicle, place)
    if ample_mm is not None and goes_into(ample_mm, room_mm=headroom_mm):
        about = (
            f"its height is not given and cannot matter: {millimetres(ample_mm)} is"
            " enough for any stock of its scale"
        )
        yield _taken(vehicle, "height_mm", about)
        return
    message = (
        f"{vehicle.name}: measure its height; the headroom is"
        f" {millimetres(headroom_mm)}"
    )
    reason = Reason(
        code="missing_figure",
        message=message,
        vehicle=vehicle.name,
        field="height_mm",
        limit_mm=headroom_mm,
    )
    yield Finding(verdict="cannot_tell", reason=reason)


def _too_high(
    vehicle: Vehicle, height_mm: float, place: Place, headroom_mm: float
) -> Reason:
    message = (
        f"{vehicle.name} is {millimetres(height_mm)} high,"
        f" {millimetres(height_mm - headroom_mm)} too high for {called(place)}"
    )
    return Reason(
        code="too_high",
        message=message,
        vehicle=vehicle.name,
        value_mm=height_mm,
        limit_mm=headroom_mm,
        amount_mm=tidy(height_mm - headroom_mm),
    )


def _taken(
    vehicle: Vehicle,
    field: str,
    about: str,
    *,
    source: Source = "taken_as_read",
    value_mm: float | None = None,
) -> Guess:
    return Guess(
        vehicle=vehicle.name, field=field, about=about, source=source, value_mm=value_mm
    )
