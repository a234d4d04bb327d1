"""A train on a turntable: its wheels on the rails, and its overhangs clear of what surrounds the pit."""

from math import hypot

import msgspec

from standage.railway.roads.allowances import RAILS_MM, Allowance
from standage.railway.roads.places import Place
from standage.railway.standing.verdicts import Finding, Fit, Wording, fit
from standage.railway.stock.axles import Axles, axles_of
from standage.railway.stock.bodies import shapes
from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.extents import Extent, lacking
from standage.railway.terms.figures import tidy
from standage.railway.terms.guesses import Guess
from standage.railway.terms.reasons import Reason


class Wheels(msgspec.Struct, frozen=True, kw_only=True):
    """A train from its first axle to its last, and how far it hangs over at either end, free couplings included."""

    wheelbase: Extent
    head_mm: float
    tail_mm: float
    guesses: tuple[Guess, ...]


class OnTurntable(msgspec.Struct, frozen=True, kw_only=True):
    """What came of it: the wheels held against the rails, all findings, and what was guessed."""

    counted: Extent
    fit: Fit
    findings: tuple[Finding, ...]
    guesses: tuple[Guess, ...]


def on_turntable(train: Coupled, place: Place, given: Allowance, *, room_mm: float) -> OnTurntable:
    """Return how ``train`` stands on the turntable whose rails leave ``room_mm`` for its wheels.

    ``room_mm`` is the rails less ``RAILS_MM`` and the margin. A train that lies within the rails as a whole has nothing
    to clear; another must stay within the circle clear of all that surrounds the pit, its corners counted, when it
    stands as nearly in the middle as its wheels let it. Where its wheels are not known, but it lies within those rails
    as a whole, its length counts: no wheelbase is longer. **Source** derived.
    """
    wheels = wheels_of(train)
    if wheels.wheelbase.missing and (within := _within(train, given, room_mm=room_mm)).verdict == "fits":
        return OnTurntable(counted=train.pulled_out(), fit=within, findings=tuple(within.findings()), guesses=())
    wording = Wording(
        subject="the train, from its first axle to its last,",
        place=given.place,
        where="on",
        fits_code="wheels_within_rails",
        too_long_code="wheelbase_too_long",
        margin_mm=given.margin_mm,
    )
    by_wheels = fit(wheels.wheelbase, room_mm=room_mm, room_plus_minus_mm=given.plus_minus_mm, wording=wording)
    overhang, guesses = _overhang(train, place, given, wheels=wheels, room_mm=room_mm)
    return OnTurntable(
        counted=wheels.wheelbase,
        fit=by_wheels,
        findings=(*by_wheels.findings(), *overhang),
        guesses=(*wheels.guesses, *guesses),
    )


def _within(train: Coupled, given: Allowance, *, room_mm: float) -> Fit:
    wording = Wording(
        subject="the train, from end to end,",
        place=f"the rails of {given.place}",
        where="within",
        fits_code="within_rails",
        margin_mm=given.margin_mm,
    )
    return fit(train.pulled_out(), room_mm=room_mm, room_plus_minus_mm=given.plus_minus_mm, wording=wording)


def wheels_of(train: Coupled) -> Wheels:
    """Return ``train`` from its first axle to its last. The ± of a wheelbase is 0 where it was given."""
    first, last = train.members[0], train.members[-1]
    ahead, behind = axles_of(first.vehicle, first.length), axles_of(last.vehicle, last.length)
    inset_head_mm, inset_tail_mm = _inset(ahead, first, at_head=True), _inset(behind, last, at_head=False)
    head, tail = train.outer_ends()
    if len(train.members) == 1 and ahead.wheelbase_mm is not None:
        wheelbase = Extent(known_mm=ahead.wheelbase_mm, plus_minus_mm=ahead.plus_minus_mm)
    else:
        span = train.span(0, len(train.members) - 1)
        unplaced = {place for place, axles in ((0, ahead), (len(train.members) - 1, behind)) if axles.missing}
        unsure_mm = sum(train.members[place].length.extent.known_mm for place in unplaced)
        wheelbase = Extent(
            known_mm=max(0.0, span.known_mm - inset_head_mm - inset_tail_mm - unsure_mm),
            plus_minus_mm=span.plus_minus_mm + (ahead.plus_minus_mm + behind.plus_minus_mm) / 2,
            missing=(*ahead.missing, *behind.missing, *span.missing),
        )
    return Wheels(
        wheelbase=wheelbase,
        head_mm=inset_head_mm + head.projection.known_mm,
        tail_mm=inset_tail_mm + tail.projection.known_mm,
        guesses=(*ahead.guesses, *behind.guesses),
    )


def reserve_mm(member: Member, *, at_head: bool) -> float | None:
    """Return how far a vehicle hangs over beyond its last wheel at one end, free coupling included; None if unsure."""
    axles = axles_of(member.vehicle, member.length)
    projection = (member.head if at_head else member.tail).projection
    if not axles.sure or projection.missing:
        return None
    return tidy(_inset(axles, member, at_head=at_head) + projection.known_mm)


def _inset(axles: Axles, member: Member, *, at_head: bool) -> float:
    inset_mm = axles.front_mm if at_head != member.vehicle.reversed else axles.rear_mm
    return inset_mm or 0.0


def _overhang(
    train: Coupled, place: Place, given: Allowance, *, wheels: Wheels, room_mm: float
) -> tuple[tuple[Finding, ...], tuple[Guess, ...]]:
    over_all = train.pulled_out()
    wording = Wording(
        subject="the train's overhang",
        place=f"the circle round {given.place}",
        fits_code="overhang_clear",
        too_long_code="overhang_fouls",
    )
    rails = fit(over_all, room_mm=room_mm + RAILS_MM, room_plus_minus_mm=given.plus_minus_mm, wording=wording)
    if rails.verdict == "fits":
        return (), ()
    if over_all.missing or wheels.wheelbase.missing:
        unknown = lacking((*over_all.missing, *wheels.wheelbase.missing))
        return tuple(Finding(verdict="cannot_tell", reason=reason) for reason in unknown), ()
    if place.clear_circle_mm is None:
        return (Finding(verdict="cannot_tell", reason=_unknown_circle(given)),), ()
    slack_mm = max(0.0, (room_mm - wheels.wheelbase.known_mm) / 2)
    uneven_mm = abs(wheels.head_mm - wheels.tail_mm) / 2
    farthest_mm = over_all.known_mm / 2 + max(0.0, uneven_mm - slack_mm)
    width_mm, guesses = _width(train)
    needs = Extent(known_mm=2 * hypot(farthest_mm, (width_mm or 0.0) / 2), plus_minus_mm=over_all.plus_minus_mm)
    circle = fit(needs, room_mm=place.clear_circle_mm, room_plus_minus_mm=given.plus_minus_mm, wording=wording)
    if width_mm is None and circle.verdict != "does_not_fit":
        return (Finding(verdict="cannot_tell", reason=_unknown_width(train)),), ()
    return tuple(circle.findings()), guesses


def _width(train: Coupled) -> tuple[float | None, tuple[Guess, ...]]:
    bodies = [body for end in (train.members[0], train.members[-1]) for body in shapes(end.vehicle)]
    widths_mm = [body.width_mm for body in bodies]
    known_mm = [width_mm for width_mm in widths_mm if width_mm is not None]
    if len(known_mm) < len(widths_mm):
        return None, ()
    return max(known_mm), tuple(guess for body in bodies for guess in body.guesses if guess.field == "width_mm")


def _unknown_circle(given: Allowance) -> Reason:
    message = (
        f"the train hangs over the rails of {given.place}: measure the circle clear of all that surrounds the pit "
        "(clear_circle_mm); without it nobody can tell"
    )
    return Reason(code="missing_figure", message=message, place=given.place, field="clear_circle_mm")


def _unknown_width(train: Coupled) -> Reason:
    narrow = next(
        member
        for member in (train.members[0], train.members[-1])
        if any(body.width_mm is None for body in shapes(member.vehicle))
    )
    message = f"{narrow.name}: measure its width; without it nobody can tell whether its corners clear"
    return Reason(code="missing_figure", message=message, vehicle=narrow.name, field="width_mm")
