"""What may come to this layout: the limits to publish to visitors before they leave
home.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.example_stock import SHORT_ON_RECORD
from standage.questions.question import OnRecord, Shows
from standage.questions.reckoning import NOT_YET, Warnings, or_a_plan, surveying, warned
from standage.questions.sources import NamedPlace, Sources, WholeLayout
from standage.railway.roads.allowances import Allowance, allowance, assumed_of
from standage.railway.roads.limits import (
    THROUGH,
    Limit,
    PlaceLimits,
    Swing,
    binding,
    limits_of,
    tightest_swing,
)
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.terms.figures import at_most, listed, says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import scale
from standage.railway.terms.senses import ITSELF

LimitsVerdict = Literal["incomplete", "complete"]
_ASKED_OF_EVERY_PLACE = {
    "usable_length_mm": ("measure the usable length of", ""),
    "minimum_radius_mm": (
        "measure the sharpest curve of",
        ", or say that there is none (no_curves)",
    ),
    "headroom_mm": (
        "measure the headroom of",
        ", or say that nothing hangs above it (headroom_unlimited)",
    ),
}
"""How each figure is asked for, before and after the places that lack it."""


class LayoutLimitsCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the answer rests on: the layout and its places, with what it says of all
    of them.
    """

    layout: Annotated[WholeLayout, ITSELF]


class LimitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that binds, and where it is from."""

    value_mm: Annotated[float, says("The figure, in mm.")]
    place: Annotated[
        str,
        says(
            "The place it is from; the layout's own name where it says so of all"
            " places."
        ),
    ]


class SteepestAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The steepest gradient, and where it is."""

    percent: Annotated[float, says("The gradient in per cent.")]
    place: Annotated[str, says("The place where it is.")]


class SwingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How far bodies may stand out from their centre lines beside the next track: half
    the width and the throw.
    """

    spacing_mm: Annotated[
        float, says("Between the centre lines of the two tracks, in mm.")
    ]
    margin_mm: Annotated[
        float,
        says("What is kept free between two trains, an eighth of the gauge, in mm."),
    ]
    both_mm: Annotated[
        float, says("Of the two trains that meet there, together, in mm.")
    ]
    each_mm: Annotated[float, says("Of each where they are alike, in mm.")]
    place: Annotated[str, says("The place where it is so.")]


class TrackAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What track of one sort is laid for, and where."""

    scale: Annotated[str | None, says("The scale; null where nobody said.")]
    gauge_mm: Annotated[float | None, says("The gauge, in mm; null where nobody said.")]
    wheels: Annotated[str | None, says("The wheel standard; null where nobody said.")]
    places: Annotated[tuple[str, ...], says("The places laid so.")]


class OfOnePlace(msgspec.Struct, frozen=True, kw_only=True):
    """What one place asks of a train; null is what nobody measured."""

    place_id: Annotated[str | None, says("Its id.")]
    name: Annotated[str, says("What it is called.")]
    kind: Annotated[PlaceKind, says("What sort of place it is.")]
    longest_train_mm: Annotated[
        float | None,
        says(
            "The longest train pulled out that stands there for certain, margin and ±"
            " taken off, in mm."
        ),
    ]
    longest_passenger_train_mm: Annotated[
        float | None,
        says(
            "The longest train from its first passenger vehicle to its last that stands"
            " there for certain, in mm: along a platform's face where that is shorter."
        ),
    ]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    plus_minus_mm: Annotated[
        float, says("What was taken off for the ± of the usable length, in mm.")
    ]
    least_radius_mm: Annotated[
        float | None, says("The sharpest curve on it or on the way in, in mm.")
    ]
    no_curves: Annotated[bool, says("Whether it and the way in are straight.")]
    steepest_gradient_percent: Annotated[
        float | None, says("The steepest gradient on it, in per cent.")
    ]
    headroom_mm: Annotated[
        float | None, says("From the rail's top to the lowest thing above it, in mm.")
    ]
    headroom_unlimited: Annotated[bool, says("Whether nothing hangs above it.")]
    swing: Annotated[
        SwingAnswer | None, says("How far bodies may stand out beside the next track.")
    ]


class LayoutLimitsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The limits of the whole layout, each with its place, then those of every
    place.
    """

    verdict: Annotated[
        LimitsVerdict,
        says("Whether of every place length, sharpest curve and headroom are known."),
    ]
    layout: Annotated[str, says("What the layout is called.")]
    fits_every_road: Annotated[
        LimitAnswer | None,
        says(
            "The longest train pulled out that stands in any loop, siding, platform and"
            " fiddle-yard road alike."
        ),
    ]
    longest_train: Annotated[
        LimitAnswer | None,
        says("The longest train pulled out that stands in any of those at all."),
    ]
    passenger_fits_every_road: Annotated[
        LimitAnswer | None,
        says(
            "The longest train from its first passenger vehicle to its last that stands"
            " in any of those alike."
        ),
    ]
    longest_passenger_train: Annotated[
        LimitAnswer | None, says("The longest such train that stands in any at all.")
    ]
    least_radius: Annotated[LimitAnswer | None, says("The sharpest curve.")]
    no_curves: Annotated[
        bool, says("Whether every place and the way to it are straight.")
    ]
    steepest_gradient: Annotated[SteepestAnswer | None, says("The steepest gradient.")]
    headroom: Annotated[LimitAnswer | None, says("The lowest headroom.")]
    headroom_unlimited: Annotated[bool, says("Whether nothing hangs above any place.")]
    swing: Annotated[SwingAnswer | None, says("The closest tracks.")]
    track: Annotated[
        tuple[TrackAnswer, ...],
        says("Scale, gauge and wheels that the track is laid for."),
    ]
    places: Annotated[tuple[OfOnePlace, ...], says("Every place by name.")]
    because: Annotated[
        tuple[Reason, ...],
        says("What has to be measured still, and what the limits come to."),
    ]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@surveying
@warned
def reckon(case: LayoutLimitsCase) -> LayoutLimitsAnswer:
    """Return the limits of the case's layout. A figure that no place has is null, never
    guessed.
    """
    named = case.layout.places
    places = [one.place for one in named]
    longest_mm = {one.place: _limits(one).longest_mm for one in named}
    passenger_mm = {one.place: _limits(one).passenger_mm for one in named}
    through = [place for place in places if place.kind in THROUGH]
    missing = (*_not_by_plan(named), *_to_measure(named))
    shortest = binding(through, longest_mm.get, bound="least")
    shortest_face = binding(through, passenger_mm.get, bound="least")
    unknown = sum(longest_mm[place] is None for place in through)
    gradient = binding(
        places, lambda place: place.steepest_gradient_percent, bound="most"
    )
    return LayoutLimitsAnswer(
        verdict="incomplete" if missing or not places else "complete",
        layout=case.layout.name,
        fits_every_road=None if unknown else _figure(shortest),
        longest_train=_figure(binding(through, longest_mm.get, bound="most")),
        passenger_fits_every_road=None if unknown else _figure(shortest_face),
        longest_passenger_train=_figure(
            binding(through, passenger_mm.get, bound="most")
        ),
        no_curves=bool(places) and all(place.no_curves for place in places),
        least_radius=_figure(_sharpest(case.layout, places)),
        steepest_gradient=(
            None
            if gradient is None
            else SteepestAnswer(percent=gradient.value, place=gradient.place)
        ),
        headroom=_figure(
            binding(places, lambda place: place.headroom_mm, bound="least")
        ),
        headroom_unlimited=bool(places)
        and all(place.headroom_unlimited for place in places),
        swing=_swing(tightest_swing(places)),
        track=tuple(_tracks(places)),
        places=tuple(_one(one) for one in case.layout.places),
        because=(
            *missing,
            *_said(case.layout, shortest, shortest_face, all_known=unknown == 0),
        ),
        assumed=tuple(assumed_of(map(_allowance, named))),
    )


def _limits(one: NamedPlace) -> PlaceLimits:
    return limits_of(one.place, known_by=one.known_by)


def _allowance(one: NamedPlace) -> Allowance:
    return allowance(
        one.place,
        known_by=one.known_by,
        stopping_margin_mm=None,
    )


def _sharpest(layout: WholeLayout, places: Sequence[Place]) -> Limit | None:
    """Return the sharpest curve; the layout's own where it binds as much as any
    place's.
    """
    found, own_mm = (
        binding(places, lambda place: place.minimum_radius_mm, bound="least"),
        layout.body.minimum_radius_mm,
    )
    if own_mm is not None and (found is None or own_mm <= found.value):
        return Limit(
            value=own_mm,
            place=layout.name,
        )
    return found


def _figure(limit: Limit | None) -> LimitAnswer | None:
    if limit is None:
        return None
    return LimitAnswer(value_mm=limit.value, place=limit.place)


def _swing(swing: Swing | None) -> SwingAnswer | None:
    if swing is None:
        return None
    return SwingAnswer(
        spacing_mm=swing.spacing_mm,
        margin_mm=swing.margin_mm,
        both_mm=swing.both_mm,
        each_mm=swing.each_mm,
        place=swing.place,
    )


def _one(one: NamedPlace) -> OfOnePlace:
    limits = _limits(one)
    given = _allowance(one)
    return OfOnePlace(
        place_id=one.id,
        name=one.name,
        kind=one.place.kind,
        longest_train_mm=limits.longest_mm,
        longest_passenger_train_mm=limits.passenger_mm,
        stopping_margin_mm=given.margin_mm,
        plus_minus_mm=given.plus_minus_mm,
        least_radius_mm=limits.radius_mm,
        no_curves=one.place.no_curves,
        steepest_gradient_percent=limits.gradient_percent,
        headroom_mm=limits.headroom_mm,
        headroom_unlimited=one.place.headroom_unlimited,
        swing=_swing(limits.swing),
    )


def _tracks(places: Sequence[Place]) -> Iterator[TrackAnswer]:
    laid: dict[tuple[str | None, float | None, str | None], list[str]] = {}
    for place in places:
        gauge_mm = place.gauge_mm
        if gauge_mm is None and place.scale is not None:
            gauge_mm = scale(place.scale).gauge_mm
        laid.setdefault((place.scale, gauge_mm, place.wheels), []).append(
            place.name or place.kind
        )
    for (name, gauge_mm, wheels), where in laid.items():
        yield TrackAnswer(
            scale=name, gauge_mm=gauge_mm, wheels=wheels, places=tuple(where)
        )


def _not_by_plan(named: Sequence[NamedPlace]) -> Iterator[Reason]:
    """Yield the roads whose length their layout's plan does not tell, and why."""
    for one in named:
        unknown = _allowance(one).unknown
        if unknown is not None:
            yield Reason(
                code="missing_figure",
                message=unknown,
                place=one.name,
                field="usable_length_mm",
            )


def _to_measure(named: Sequence[NamedPlace]) -> Iterator[Reason]:
    for field, (asked, otherwise) in _ASKED_OF_EVERY_PLACE.items():
        unknown = [one.name for one in named if not _is_known(one.place, field)]
        if unknown:
            message = (
                f"{asked} {listed(unknown)}{otherwise}, so that visitors can be told"
            )
            yield Reason(
                code="missing_figure", message=message, place=unknown[0], field=field
            )


def _is_known(place: Place, field: str) -> bool:
    said_to_have_none = {
        "minimum_radius_mm": place.no_curves,
        "headroom_mm": place.headroom_unlimited,
    }
    return said_to_have_none.get(field, False) or getattr(place, field) is not None


def _said(
    layout: WholeLayout,
    shortest: Limit | None,
    shortest_face: Limit | None,
    *,
    all_known: bool,
) -> Iterator[Reason]:
    if shortest is None or shortest_face is None:
        yield Reason(
            code="no_roads",
            message=f"{layout.name} has no road of a known length for a visiting train",
        )
        return
    every = "every road" if all_known else "every road that was measured"
    message = (
        f"a train that is to stand in {every} may be {at_most(shortest.value)} long,"
        f" for {shortest.place}"
    )
    yield Reason(
        code="shortest_road",
        message=message,
        place=shortest.place,
        limit_mm=shortest.value,
    )
    if shortest_face.value < shortest.value:
        message = (
            f"a passenger train may be {at_most(shortest_face.value)} long from its"
            f" first passenger vehicle to its last, for {shortest_face.place}"
        )
        yield Reason(
            code="shortest_face",
            message=message,
            place=shortest_face.place,
            limit_mm=shortest_face.value,
        )


def gather(
    sources: Sources, ids: Mapping[str, str], _parameters: None
) -> LayoutLimitsCase:
    """Return the case of the layout that an address names."""
    return LayoutLimitsCase(layout=sources.places.layout_at(ids["layout_id"]))


QUESTION = OnRecord(
    id="getLayoutLimits",
    at="/v1/layouts/{layout_id}/limits",
    asks="What may come to this layout?",
    tells=(
        "The limits to publish to visitors: longest train, sharpest curve, steepest"
        " gradient, headroom, closest tracks, scale, gauge and wheels, each with the"
        " place it is from; then every place's own."
    ),
    answer=LayoutLimitsAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(),
    example={},
    warns=Shows("unit", "usable_length_mm", recorded=SHORT_ON_RECORD),
    who="visitors_too",
)
