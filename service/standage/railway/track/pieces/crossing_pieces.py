"""Diamonds and slips: two roads that cross, and blades that lead from one to the other.

The crossing lies at 0; road a runs to the right through it, and road b is road a turned
anticlockwise by the angle.
"""

from collections.abc import Iterable
from math import inf, isinf, radians, tan
from typing import Annotated, ClassVar

from msgspec import Meta

from standage.railway.terms.figures import says
from standage.railway.terms.scales import Practice
from standage.railway.track.paths.runs import Hand, Run, straight
from standage.railway.track.paths.spots import Spot, length_of, towards
from standage.railway.track.pieces.forks import ends_of, said, turning
from standage.railway.track.pieces.pieces import (
    CrossingAngle,
    CurveRadius,
    Live,
    Piece,
    TrackLength,
    kept,
)
from standage.railway.track.pieces.shapes import Rivals, Shape, Strand
from standage.shapes.faults import Fault

Arms = Annotated[
    tuple[TrackLength, ...],
    Meta(
        min_length=2,
        max_length=2,
        description="From end 1 to the crossing, and on to end 2.",
    ),
]
_LEAST_RADIUS_MM = 1e-3
"""Blades nearer to each other leave no room for a curve that there are numbers for."""
_OUT_DEG = {"a1": 180.0, "a2": 0.0, "b1": 180.0, "b2": 0.0}
CROSSING = "@crossing"
_WAYS = ("a1", "a2", "b1", "b2")
_AGAINST = tuple((one, two) for one in _WAYS[:2] for two in _WAYS[2:])


class Diamond(Piece, frozen=True, kw_only=True, cache_hash=True, tag="diamond"):
    """Two straight roads that cross."""

    end_names: ClassVar[tuple[str, ...]] = _WAYS

    angle_deg: Annotated[
        CrossingAngle | None, says("By how much road b is turned anticlockwise from a.")
    ] = None
    a_mm: Annotated[Arms, says("From a1 to the crossing, and from there to a2, in mm.")]
    b_mm: Annotated[Arms, says("From b1 to the crossing, and from there to b2, in mm.")]
    fouling_a_mm: Annotated[
        TrackLength | None, says("From the crossing to road a's fouling points, in mm.")
    ] = None
    fouling_b_mm: Annotated[
        TrackLength | None, says("From the crossing to road b's fouling points, in mm.")
    ] = None

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape: four arms out from the crossing."""
        strands = tuple(self._arm(end) for end in _WAYS)
        given = {end: getattr(self, f"fouling_{end[0]}_mm") for end in _WAYS}
        rivals: tuple[Rivals, ...] = ()
        if self.angle_deg is not None:
            rivals = crossed(self.angle_deg, core_mm=0.0)
        return Shape(
            ends=ends_of(strands),
            strands=strands,
            passages={CROSSING: ((0, 1), (2, 3))},
            rivals=rivals,
            pairs=_AGAINST,
            fouling_mm=said(given),
            meeting=((_WAYS.index("a1"), 0.0), (_WAYS.index("b1"), 0.0)),
            word="crossing",
        )

    def _arm(self, end: str) -> Strand:
        arms_mm = self.a_mm if end[0] == "a" else self.b_mm
        is_first = end[1] == "1"
        length_mm = arms_mm[0] if is_first else arms_mm[1]
        spot = out_of_crossing(end, self.angle_deg)
        return Strand(
            start=CROSSING,
            finish=end,
            length_mm=length_mm,
            runs=None if spot is None else kept(straight(length_mm)),
            spot=spot,
            leg=end[0],
            at_mm=arms_mm[0],
            rising=not is_first,
            limit="fouling_point",
        )

    def amiss(self) -> Iterable[Fault]:
        """Yield nothing: every figure of a diamond stands by itself."""
        return ()

    @property
    def without_shape(self) -> bool:
        """Whether its figures are meant to be lengths alone."""
        return self.angle_deg is None


class _Slip(Piece, frozen=True, kw_only=True, cache_hash=True):
    """A crossing with blades that lead from one road to the other."""

    end_names: ClassVar[tuple[str, ...]] = _WAYS
    slipped: ClassVar[tuple[tuple[str, str], ...]] = (("a1", "b2"),)

    angle_deg: Annotated[
        CrossingAngle | None, says("By how much road b is turned anticlockwise from a.")
    ] = None
    arm_mm: Annotated[TrackLength, says("From each joint to the blades' tips, in mm.")]
    core_mm: Annotated[TrackLength, says("From blades to blades, straight on, in mm.")]
    core_slip_mm: Annotated[
        TrackLength | None,
        says("From blades to blades over the slip, in mm; its curve's if not said."),
    ] = None
    slip_radius_mm: Annotated[CurveRadius | None, says("Of the slip road, in mm.")] = (
        None
    )
    fouling_mm: Annotated[
        TrackLength | None,
        says("From the blades outwards to the fouling points, in mm."),
    ] = None
    crossing: Annotated[
        Live | None, says("Whether its crossings are live or dead.")
    ] = None

    def shape(self, practice: Practice) -> Shape:  # noqa: ARG002 - nothing by practice
        """Return its shape: four arms, and the cores between their blades."""
        arms = [self._arm(end) for end in _WAYS]
        cores = [self._core("a1", "a2"), self._core("b1", "b2")]
        slips = [self._slip_road(one, two) for one, two in self.slipped]
        strands = (*arms, *cores, *slips)
        passages: dict[str, list[tuple[int, int]]] = {_blades(end): [] for end in _WAYS}
        for number, strand in enumerate(strands[4:], start=4):
            for knot in (strand.start, strand.finish):
                passages[knot].append((_WAYS.index(knot[1:3]), number))
        rivals: tuple[Rivals, ...] = ()
        if self.angle_deg is not None:
            rivals = crossed(self.angle_deg, core_mm=self.core_mm)
        half_mm = self.core_mm / 2
        meeting = tuple((len(arms) + number, half_mm) for number in range(len(cores)))
        return Shape(
            ends=ends_of(strands),
            strands=strands,
            passages={knot: tuple(pairs) for knot, pairs in passages.items()},
            rivals=rivals,
            pairs=_AGAINST,
            fouling_mm=said(dict.fromkeys(_WAYS, self.fouling_mm)),
            meeting=meeting,
            word="slip",
        )

    def _arm(self, end: str) -> Strand:
        spot = self._at_blades(end)
        return Strand(
            start=_blades(end),
            finish=end,
            length_mm=self.arm_mm,
            runs=None if spot is None else kept(straight(self.arm_mm)),
            spot=spot,
            leg=end,
            limit="fouling_point",
        )

    def _at_blades(self, end: str) -> Spot | None:
        """Return the blades of an arm, looking outwards."""
        middle = out_of_crossing(end, self.angle_deg)
        if middle is None:
            return None
        out = middle.direction
        return Spot(out * self.core_mm / 2, out)

    def _core(self, one: str, two: str) -> Strand:
        spot = self._at_blades(one)
        return Strand(
            start=_blades(one),
            finish=_blades(two),
            length_mm=self.core_mm,
            runs=None if spot is None else kept(straight(self.core_mm)),
            spot=None if spot is None else spot.turned_about,
            leg=f"{one}-{two}",
            core=True,
        )

    def _slip_road(self, one: str, two: str) -> Strand:
        spot = self._at_blades(one)
        runs = self._slip_runs(to_left=one == "a1")
        length_mm = self.core_slip_mm
        if length_mm is None and runs is not None:
            length_mm = length_of(runs)
        return Strand(
            start=_blades(one),
            finish=_blades(two),
            length_mm=length_mm,
            runs=runs,
            spot=None if spot is None else spot.turned_about,
            leg=f"{one}-{two}",
            core=True,
        )

    def _slip_runs(self, *, to_left: bool) -> tuple[Run, ...] | None:
        """Return the slip road: a curve in the middle, straight to either side of
        it."""
        if self.angle_deg is None:
            return None
        half_turn = tan(radians(self.angle_deg) / 2)
        radius_mm = min(self.slip_radius_mm or inf, self._widest_mm(half_turn))
        if radius_mm < _LEAST_RADIUS_MM:
            return ()
        if isinf(radius_mm):
            return kept(straight(self.core_mm))
        beside = straight(max(0.0, self.core_mm / 2 - radius_mm * half_turn))
        hand: Hand = "left" if to_left else "right"
        curve = turning(
            self.angle_deg,
            radius_mm=radius_mm,
            hand=hand,
        )
        return kept(beside, curve, beside)

    def _widest_mm(self, half_turn: float) -> float:
        """Return the greatest radius that goes between the blades; none bounds it where
        the roads cross at no angle that a number can hold."""
        try:
            return self.core_mm / 2 / half_turn
        except (OverflowError, ZeroDivisionError):
            return inf

    def amiss(self) -> Iterable[Fault]:
        """Yield a fault where the slip road's curve does not go between the blades."""
        if self.angle_deg is None:
            if self.core_slip_mm is None:
                message = "give core_slip_mm, or angle_deg to reckon it from"
                yield Fault(
                    code="missing",
                    message=message,
                    pointer="/core_slip_mm",
                )
            return
        widest_mm = self._widest_mm(tan(radians(self.angle_deg) / 2))
        if self.slip_radius_mm is not None and self.slip_radius_mm > widest_mm + 1e-6:
            message = f"does not go between the blades: {widest_mm:.1f} mm is the most"
            yield Fault(
                code="too_long",
                message=message,
                pointer="/slip_radius_mm",
            )

    @property
    def without_shape(self) -> bool:
        """Whether its figures are meant to be lengths alone."""
        return self.angle_deg is None


class SingleSlip(_Slip, frozen=True, kw_only=True, cache_hash=True, tag="single_slip"):
    """A crossing with a slip road from a1 to b2."""


class DoubleSlip(_Slip, frozen=True, kw_only=True, cache_hash=True, tag="double_slip"):
    """A crossing with slip roads from a1 to b2 and from b1 to a2."""

    slipped: ClassVar[tuple[tuple[str, str], ...]] = (("a1", "b2"), ("b1", "a2"))


def out_of_crossing(end: str, angle_deg: float | None) -> Spot | None:
    """Return the crossing, looking out along the way to ``end``. **Source** derived."""
    if angle_deg is None:
        return None
    turned_deg = angle_deg if end[0] == "b" else 0.0
    return Spot(0j, towards(_OUT_DEG[end] + turned_deg))


def crossed(angle_deg: float, *, core_mm: float) -> tuple[Rivals, ...]:
    """Return the ways out of a crossing that part from each other, by two and two.

    **Source** derived.
    """
    lead = kept(straight(core_mm / 2))
    return tuple(
        Rivals(
            leg=one,
            strand=_WAYS.index(one),
            spot=out_of_crossing(one, angle_deg) or Spot(0j, 1 + 0j),
            other=two,
            other_strand=_WAYS.index(two),
            other_spot=out_of_crossing(two, angle_deg) or Spot(0j, 1 + 0j),
            lead=lead,
            other_lead=lead,
            shift_mm=-core_mm / 2,
            other_shift_mm=-core_mm / 2,
        )
        for one, two in _AGAINST
    )


def _blades(end: str) -> str:
    return f"@{end} blades"
