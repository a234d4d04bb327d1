"""How strands part at blades: the shape of points, from what each of their legs is."""

from collections.abc import Iterable, Sequence
from math import radians

import msgspec

from standage.railway.track.paths.runs import Hand, Run, arc, straight
from standage.railway.track.paths.spots import ORIGIN, Spot, length_of, through
from standage.railway.track.pieces.pieces import kept
from standage.railway.track.pieces.shapes import LimitKind, Rivals, Shape, Strand

TIPS = "@tips"
SECOND_TIPS = "@second tips"


class Leg(msgspec.Struct, frozen=True, gc=False):
    """One way from the tips: what is laid, or how long it was measured to be."""

    name: str
    length_mm: float | None
    runs: tuple[Run, ...] | None = None


def turning(turn_deg: float, *, radius_mm: float, hand: Hand) -> Run:
    """Return the arc that turns by so many degrees. **Source** derived."""
    return arc(
        radius_mm * radians(turn_deg),
        radius_mm=radius_mm,
        hand=hand,
    )


def laid(name: str, *runs: Run) -> Leg:
    """Return a leg that is laid of ``runs``, those of no length left out.

    **Source** derived.
    """
    return Leg(
        name,
        length_of(runs),
        kept(*runs),
    )


def said(given: dict[str, float | None]) -> dict[str, float]:
    """Return the figures that are given. **Source** the plan's document."""
    return {leg: value_mm for leg, value_mm in given.items() if value_mm is not None}


def arm(leg: Leg, *, knot: str, spot: Spot | None, at_mm: float = 0.0) -> Strand:
    """Return the strand of a leg, from its blades outwards. **Source** derived."""
    return Strand(
        start=knot,
        finish=leg.name,
        length_mm=leg.length_mm,
        runs=leg.runs,
        spot=None if leg.runs is None else spot,
        leg=leg.name,
        at_mm=at_mm,
        limit="fouling_point",
    )


def toe_of(to_tips_mm: float | None, *, is_laid: bool) -> Strand:
    """Return the toe's track, from the tips outwards; the piece's frame begins at its
    joint.

    **Source** derived.
    """
    limit: LimitKind = "blade_tips"
    runs = None
    spot = None
    if is_laid and to_tips_mm is not None:
        runs = kept(straight(to_tips_mm))
        spot = Spot(complex(to_tips_mm), -1 + 0j)
    return Strand(
        start=TIPS,
        finish="toe",
        length_mm=to_tips_mm,
        runs=runs,
        spot=spot,
        leg="toe",
        limit=limit,
    )


def forked(
    to_tips_mm: float | None, legs: Sequence[Leg], pair: tuple[str, str]
) -> Shape:
    """Return the shape of points with two legs. **Source** derived."""
    is_laid = all(leg.runs is not None for leg in legs)
    tips = Spot(complex(to_tips_mm or 0.0), 1 + 0j)
    toe = toe_of(to_tips_mm, is_laid=is_laid)
    arms = [
        arm(
            leg,
            knot=TIPS,
            spot=tips,
        )
        for leg in legs
    ]
    strands = (toe, *arms)
    rivals: tuple[Rivals, ...] = ()
    if is_laid:
        rivals = rivals_of((pair[0], 1), (pair[1], 2), tips)
    return Shape(
        ends=ends_of(strands),
        strands=strands,
        passages={TIPS: ((0, 1), (0, 2))},
        rivals=rivals,
        pairs=(pair,),
    )


def twice_forked(
    to_tips_mm: float | None, core_mm: float | None, legs: tuple[Leg, Leg, Leg]
) -> Shape:
    """Return the shape of three-way points; ``legs`` are the first, middle and
    second.

    **Source** derived.
    """
    is_laid = core_mm is not None and all(leg.runs is not None for leg in legs)
    tips = Spot(complex(to_tips_mm or 0.0), 1 + 0j)
    second_tips = Spot(tips.point + (core_mm or 0.0), 1 + 0j)
    core_runs = kept(straight(core_mm or 0.0))
    core = Strand(
        start=TIPS,
        finish=SECOND_TIPS,
        length_mm=core_mm,
        runs=core_runs if is_laid else None,
        spot=tips if is_laid else None,
        leg="middle",
        core=True,
    )
    first, middle, second = legs
    at_mm = core_mm or 0.0
    strands = (
        toe_of(to_tips_mm, is_laid=is_laid),
        arm(first, knot=TIPS, spot=tips),
        core,
        arm(
            middle,
            knot=SECOND_TIPS,
            spot=second_tips,
            at_mm=at_mm,
        ),
        arm(
            second,
            knot=SECOND_TIPS,
            spot=second_tips,
            at_mm=at_mm,
        ),
    )
    rivals: tuple[Rivals, ...] = ()
    if is_laid:
        rivals = (
            *rivals_of(
                (first.name, 1),
                ("middle", 3),
                tips,
                core=core_runs,
            ),
            *rivals_of(
                (first.name, 1),
                (second.name, 4),
                tips,
                core=core_runs,
            ),
            *rivals_of(
                ("middle", 3),
                (second.name, 4),
                second_tips,
                shift_mm=at_mm,
            ),
        )
    return Shape(
        ends=ends_of(strands),
        strands=strands,
        passages={TIPS: ((0, 1), (0, 2)), SECOND_TIPS: ((2, 3), (2, 4))},
        rivals=rivals,
        pairs=(
            (first.name, "middle"),
            (first.name, second.name),
            ("middle", second.name),
        ),
    )


def rivals_of(
    one: tuple[str, int],
    other: tuple[str, int],
    spot: Spot,
    *,
    core: tuple[Run, ...] = (),
    shift_mm: float = 0.0,
) -> tuple[Rivals, ...]:
    """Return two legs that part at ``spot``; the other one's strand lies beyond
    ``core``.

    **Source** derived.
    """
    pair = Rivals(
        leg=one[0],
        strand=one[1],
        spot=spot,
        other=other[0],
        other_strand=other[1],
        other_spot=spot,
        other_lead=core,
        shift_mm=shift_mm,
        other_shift_mm=shift_mm,
    )
    return (pair,)


def ends_of(strands: Iterable[Strand]) -> dict[str, Spot | None]:
    """Return the ends that strands lead to, pointing outwards; None without a shape.

    **Source** derived.
    """
    ends: dict[str, Spot | None] = {}
    for strand in strands:
        if strand.core:
            continue
        known = strand.spot is not None and strand.runs is not None
        ends[strand.finish] = _far(strand) if known else None
    if None in ends.values():
        return dict.fromkeys(ends)
    return ends


def _far(strand: Strand) -> Spot:
    return through(strand.spot or ORIGIN, strand.runs or ())
