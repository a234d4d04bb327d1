"""A train standing in a place: the length that counts there, held against the room
there is, and all that goes with it.

``spare = usable length - stopping margin - length pulled out``. **Source** of the
usable length's limits: US Army TI 850-02 (2000): from the end of track or a clearance
point to a clearance point.
"""

from collections.abc import Iterator

import msgspec

from standage.railway.roads.allowances import RAILS_MM, Allowance, platform_face_mm
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.standing.bridging import bridging_of
from standage.railway.standing.faces import alongside
from standage.railway.standing.turntable import Overhang, on_turntable
from standage.railway.standing.verdicts import (
    Finding,
    Fit,
    FitVerdict,
    Wording,
    fit,
    overall,
)
from standage.railway.stock.coupled import Coupled
from standage.railway.stock.extents import Extent, lacking
from standage.railway.stock.mating import same_coupling
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Guess, Reason

RUNS_AWAY_PERCENT = 0.5
"""Stock left standing on a steeper gradient runs away. **Source** common practice."""


class Stood(msgspec.Struct, frozen=True, kw_only=True):
    """What came of standing a train in a place by its length; ``room_mm`` is for the
    length that counts.

    ``guesses`` are those made over and above the train's own; ``overhang`` is told of
    turntables.
    """

    counted: Extent | None
    fit: Fit
    room_mm: float | None
    findings: tuple[Finding, ...]
    guesses: tuple[Guess, ...]
    face_spare_mm: float | None = None
    overhang: Overhang | None = None

    @property
    def verdict(self) -> FitVerdict:
        """The worst of all findings."""
        return overall(self.findings)


def stand(train: Coupled, place: Place, given: Allowance) -> Stood:
    """Return how ``train`` stands in ``place``, whose length, margin and ± are
    ``given``.

    On a turntable its wheels count, in a reversing section what bridges the gaps, at a
    platform's face its passenger vehicles too, elsewhere its length pulled out with
    both free couplings. Neighbours must take hold of each other. Lengths in mm.
    **Source** common practice for what counts where; see ``turntable``, ``bridging``
    and ``faces``.
    """
    stood = _by_length(train, place, given)
    findings = [
        *stood.findings,
        *_unmated(train),
        *_perhaps_unmated(train),
        *_run_away(place, given),
    ]
    face_mm = platform_face_mm(place)
    if face_mm is None:
        return msgspec.structs.replace(stood, findings=tuple(findings))
    face = alongside(
        train,
        face_mm=face_mm,
        plus_minus_mm=given.plus_minus_mm,
        place=given.place,
    )
    if face is None:
        return msgspec.structs.replace(stood, findings=tuple(findings))
    return msgspec.structs.replace(
        stood,
        findings=(*findings, *face.fit.findings()),
        guesses=(*stood.guesses, *face.guesses),
        face_spare_mm=face.fit.spare_mm,
    )


def _by_length(train: Coupled, place: Place, given: Allowance) -> Stood:
    if given.room_mm is None:
        unknown = Fit(
            verdict="cannot_tell",
            spare_mm=None,
            plus_minus_mm=None,
            because=(unsurveyed(place, given),),
        )
        return Stood(
            counted=None,
            fit=unknown,
            room_mm=None,
            findings=tuple(unknown.findings()),
            guesses=(),
        )
    if place.kind == "turntable":
        room_mm = given.room_mm - RAILS_MM
        turned = on_turntable(train, place, given, room_mm=room_mm)
        return Stood(
            counted=turned.counted,
            fit=turned.fit,
            room_mm=room_mm,
            findings=turned.findings,
            guesses=turned.guesses,
            overhang=turned.overhang,
        )
    if place.kind == "reversing_section":
        return _reversed_through(train, given, room_mm=given.room_mm)
    pulled_out = train.pulled_out()
    wording = Wording(subject="the train", place=given.place, margin_mm=given.margin_mm)
    by_length = fit(
        pulled_out,
        room_mm=given.room_mm,
        room_plus_minus_mm=given.plus_minus_mm,
        wording=wording,
    )
    return Stood(
        counted=pulled_out,
        fit=by_length,
        room_mm=given.room_mm,
        findings=tuple(by_length.findings()),
        guesses=(),
    )


def _reversed_through(train: Coupled, given: Allowance, *, room_mm: float) -> Stood:
    bridging = bridging_of(train)
    wording = Wording(
        subject="the train, from the first axle that bridges the gaps to the last,",
        place=given.place,
        too_long_code="bridges_too_long",
        margin_mm=given.margin_mm,
    )

    def by(extent: Extent) -> Fit:
        return fit(
            extent,
            room_mm=room_mm,
            room_plus_minus_mm=given.plus_minus_mm,
            wording=wording,
        )

    outcome = by(bridging.most)
    counted = bridging.most
    if bridging.to_measure and outcome.verdict in {"does_not_fit", "tight"}:
        surely = by(bridging.least)
        unsure = msgspec.structs.replace(
            bridging.least, missing=(*bridging.least.missing, *bridging.to_measure)
        )
        outcome = by(unsure) if surely.verdict == "does_not_fit" else _unsure(unsure)
        counted = unsure
    return Stood(
        counted=counted,
        fit=outcome,
        room_mm=room_mm,
        findings=tuple(outcome.findings()),
        guesses=bridging.guesses,
    )


def _unsure(extent: Extent) -> Fit:
    because = lacking(extent.missing)
    return Fit(
        verdict="cannot_tell", spare_mm=None, plus_minus_mm=None, because=because
    )


_MEASURED: dict[PlaceKind, str] = {
    "turntable": "from end to end of its rails",
    "traverser": "from end to end of its rails",
    "sector_plate": "from end to end of its rails",
    "cassette": "from end to end of its rails",
    "headshunt": (
        "from the blade tips of the last points to be thrown to the buffer stop"
    ),
    "reversing_section": "from isolation gap to isolation gap",
}


def unsurveyed(place: Place, given: Allowance) -> Reason:
    """Return the reason why nothing can be told of a road that nobody measured, or that
    its plan does not tell. **Source** plain English.
    """
    message = given.unknown or _to_measure(place, given)
    return Reason(
        code="missing_figure",
        message=message,
        place=given.place,
        field="usable_length_mm",
    )


def _to_measure(place: Place, given: Allowance) -> str:
    how = _MEASURED.get(
        place.kind, "from fouling point to fouling point or buffer stop"
    )
    return f"measure the usable length of {given.place}, {how}"


def _unmated(train: Coupled) -> Iterator[Finding]:
    for one, two in train.unmated():
        message = (
            f"{one.name} and {two.name} cannot be coupled: {one.tail.type} and"
            f" {two.head.type} do not take hold of each other"
        )
        reason = Reason(
            code="couplings_do_not_mate",
            message=message,
            vehicle=one.name,
            other_vehicle=two.name,
        )
        yield Finding(verdict="does_not_fit", reason=reason)


def _perhaps_unmated(train: Coupled) -> Iterator[Finding]:
    for one, two in train.perhaps_unmated():
        types = (one.tail.type, two.head.type)
        reason = same_coupling(one.name, two.name, types)
        yield Finding(
            verdict="cannot_tell",
            reason=reason,
        )


def _run_away(place: Place, given: Allowance) -> Iterator[Finding]:
    percent = place.steepest_gradient_percent
    if percent is None or tidy(percent) <= RUNS_AWAY_PERCENT:
        return
    message = (
        f"{given.place} is on a gradient of {percent:g} per cent: stock left standing"
        " there without an engine may run away unless it is held"
    )
    yield Finding(
        verdict="fits",
        reason=Reason(code="may_run_away", message=message, place=given.place),
    )
