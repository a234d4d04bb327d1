"""How far apart are two roads off a turntable, and from where is a vehicle clear?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.pointwork.turntables import OPPOSITE_DEG, SpokeRoads
from standage.railway.terms.figures import (
    Length,
    Radius,
    at_least,
    at_most,
    beside,
    millimetres,
    says,
    tidy,
    tidy_if_known,
    tidy_up,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import sense
from standage.shapes.faults import Fault, Ruled

TurntableVerdict = Literal[
    "by_angle",
    "by_spacing",
    "clear_at_rim",
    "clear_beyond_rim",
    "never_clear",
    "no_such_angle",
]
LEAST_ANGLE_DEG = 0.1
RimSpacingMm = Annotated[Length, sense("rim_spacing")]
RoadAngle = Annotated[
    float,
    msgspec.Meta(
        ge=LEAST_ANGLE_DEG,
        le=OPPOSITE_DEG,
        description="The angle between two roads, in degrees; 180: opposite.",
    ),
    sense("angle"),
]


class TurntableRoadsRequest(Ruled, frozen=True, kw_only=True):
    """A turntable's rim, and the angle or the distance between two roads off it."""

    rim_radius_mm: Annotated[
        Radius, says("From the turntable's centre to where its roads begin, in mm.")
    ]
    angle_deg: Annotated[
        RoadAngle | None, says("Between the two roads, in degrees.")
    ] = None
    spacing_mm: Annotated[
        RimSpacingMm | None,
        says("Between centre lines: at the rim, or with angle_deg where clear, in mm."),
    ] = None
    scale: Annotated[
        ScaleName | None, says("The scale, by which a likely slip is told.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """An angle, a spacing, or both."""
        if self.angle_deg is None and self.spacing_mm is None:
            yield Fault(
                code="missing",
                message="give angle_deg or spacing_mm, or both",
                pointer="/angle_deg",
            )

    @property
    def roads(self) -> SpokeRoads:
        """The two roads that are asked about."""
        return SpokeRoads(
            rim_radius_mm=self.rim_radius_mm,
            given_angle_deg=self.angle_deg,
            spacing_mm=self.spacing_mm,
        )


class TurntableRoadsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Two roads off a turntable; figures are null where they were not asked about, or
    there are none.
    """

    verdict: Annotated[
        TurntableVerdict, says("What it was found from, or where roads are clear.")
    ]
    angle_deg: Annotated[
        float | None,
        says(
            "Between the roads, in degrees; by a spacing, that of its chord at the rim."
        ),
    ]
    angle_by_nearest_deg: Annotated[
        float | None,
        says("At which a place at the rim is the spacing from the other road's line."),
    ]
    spacing_at_rim_mm: Annotated[
        float | None, says("From road to road where they begin, in mm.")
    ]
    nearest_at_rim_mm: Annotated[
        float | None,
        says("From where one road begins to the nearest of the other's line, in mm."),
    ]
    clear_from_centre_by_chord_mm: Annotated[
        float | None, says("From the centre to where roads are so far apart, in mm.")
    ]
    clear_from_centre_by_nearest_mm: Annotated[
        float | None,
        says("To where a vehicle is clear of a train that moves on the other road."),
    ]
    beyond_rim_by_chord_mm: Annotated[
        float | None, says("The first from the rim on, in mm; 0 where clear there.")
    ]
    beyond_rim_by_nearest_mm: Annotated[
        float | None, says("The second from the rim on, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("What is taken to be so.")]
    warnings: Warnings = NOT_YET


@warned
def reckon(request: TurntableRoadsRequest) -> TurntableRoadsAnswer:
    """Return how two roads off a turntable lie; what does not exist is null, and told."""
    roads = request.roads
    return TurntableRoadsAnswer(
        verdict=_verdict(roads),
        angle_deg=tidy_if_known(roads.angle_deg),
        angle_by_nearest_deg=tidy_if_known(roads.angle_by_nearest_deg),
        spacing_at_rim_mm=tidy_if_known(roads.at_rim_mm),
        nearest_at_rim_mm=tidy_if_known(roads.nearest_at_rim_mm),
        clear_from_centre_by_chord_mm=tidy_if_known(roads.clear_by_chord_mm),
        clear_from_centre_by_nearest_mm=tidy_if_known(roads.clear_by_nearest_mm),
        beyond_rim_by_chord_mm=tidy_if_known(roads.beyond_rim_by_chord_mm),
        beyond_rim_by_nearest_mm=tidy_if_known(roads.beyond_rim_by_nearest_mm),
        because=tuple(_because(roads)),
        assumed=tuple(_assumed(roads)),
    )


def _verdict(roads: SpokeRoads) -> TurntableVerdict:
    if roads.angle_deg is None:
        return "no_such_angle"
    if roads.given_angle_deg is None:
        return "by_spacing"
    if roads.spacing_mm is None:
        return "by_angle"
    if roads.beyond_rim_by_nearest_mm is None:
        return "never_clear"
    beyond_mm = tidy(roads.beyond_rim_by_nearest_mm)
    return "clear_beyond_rim" if beyond_mm > 0 else "clear_at_rim"


def _because(roads: SpokeRoads) -> Iterator[Reason]:
    if roads.angle_deg is None:
        yield _no_such_angle(roads)
    elif roads.given_angle_deg is None:
        yield from _by_spacing(roads, roads.angle_deg)
    elif roads.spacing_mm is None:
        yield _at_rim(roads)
    else:
        yield from _clear(roads, roads.given_angle_deg, roads.spacing_mm)
        yield _at_rim(roads)


def _no_such_angle(roads: SpokeRoads) -> Reason:
    across_mm = 2 * roads.rim_radius_mm
    spacing_mm = roads.spacing_mm or 0.0
    message = (
        f"there is no such angle: two roads begin {millimetres(across_mm)} apart at most,"
        f" opposite each other, and {beside(spacing_mm, limit=across_mm)} mm is more"
    )
    return Reason(
        code="no_such_angle", message=message, value_mm=spacing_mm, limit_mm=across_mm
    )


def _by_spacing(roads: SpokeRoads, angle_deg: float) -> Iterator[Reason]:
    spacing = millimetres(roads.spacing_mm or 0.0)
    by_nearest_deg = roads.angle_by_nearest_deg
    if by_nearest_deg is None:
        message = (
            f"no road begins {spacing} from the other road's line: the rim is only"
            f" {millimetres(roads.rim_radius_mm)} from the centre"
        )
        yield Reason(code="never_so_far", message=message, limit_mm=roads.rim_radius_mm)
    else:
        message = (
            f"at {_degrees_up(by_nearest_deg)} a vehicle at the rim is {spacing} from the"
            " line of the other road, clear of a train that moves on it"
        )
        yield Reason(
            code="angle_by_nearest", message=message, value_deg=tidy(by_nearest_deg)
        )
    message = f"roads that begin {spacing} apart are at {_degrees_up(angle_deg)}"
    yield Reason(code="angle_by_chord", message=message, value_deg=tidy(angle_deg))


def _degrees_up(angle_deg: float) -> str:
    """Return an angle that is needed in words, to a hundredth and never less."""
    return f"{tidy_up(angle_deg, step=0.01):g}°"


def _at_rim(roads: SpokeRoads) -> Reason:
    at_rim_mm = tidy(roads.at_rim_mm or 0.0)
    message = (
        f"at {tidy(roads.angle_deg or 0.0):g}° the roads begin {at_most(at_rim_mm)} apart,"
        f" and each {at_most(roads.nearest_at_rim_mm or 0.0)} from the other's line"
    )
    return Reason(code="at_rim", message=message, value_mm=at_rim_mm)


def _clear(roads: SpokeRoads, angle_deg: float, spacing_mm: float) -> Iterator[Reason]:
    by_nearest_mm = roads.clear_by_nearest_mm
    if by_nearest_mm is None:
        message = (
            f"at {angle_deg:g}° the roads are opposite, in one line: a vehicle on the one"
            " is never clear of a train that comes over the table from the other"
        )
        yield Reason(code="opposite", message=message, value_deg=angle_deg)
    else:
        yield _clear_from(
            roads,
            "clear_by_nearest",
            "a vehicle is clear of a train that moves on the other road",
            by_nearest_mm,
        )
    by_chord_mm = roads.clear_by_chord_mm
    if by_chord_mm is not None:
        what = f"abreast of each other the roads are {millimetres(spacing_mm)} apart"
        yield _clear_from(roads, "clear_by_chord", what, by_chord_mm)


def _clear_from(
    roads: SpokeRoads, code: str, what: str, from_centre_mm: float
) -> Reason:
    beyond_mm = tidy(from_centre_mm - roads.rim_radius_mm)
    where = "the rim on"
    if beyond_mm > 0:
        where = f"{at_least(beyond_mm)} beyond the rim on"
    message = f"{what} from {where}: {at_least(from_centre_mm)} from the centre"
    return Reason(code=code, message=message, value_mm=tidy(from_centre_mm))


def _assumed(roads: SpokeRoads) -> Iterator[Assumed]:
    if roads.spacing_mm is not None:
        message = (
            "the roads are taken to run straight at the turntable's centre, and a train on"
            " one to go on over the table in its line"
        )
        yield Assumed(field="angle_deg", message=message, source="default")


_ROUNDHOUSE = {
    "rim_radius_mm": 150,
    "angle_deg": 15,
    "spacing_mm": 45,
    "scale": "00",
}
QUESTION = Question(
    id="checkTurntableRoads",
    at="/v1/checks/turntable-roads",
    asks="How far apart are two roads off a turntable, and from where is a vehicle clear?",
    tells=(
        "From the rim and an angle how far apart roads begin, from a spacing the angle;"
        " from both, where roads are so far apart, and where a vehicle is clear of a train"
        " that moves on the other road."
    ),
    request=TurntableRoadsRequest,
    answer=TurntableRoadsAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_ROUNDHOUSE,
    refused={"rim_radius_mm": 150},
    warns=Shows("spacing_or_gap", "spacing_mm", {"spacing_mm": 28.5}),
)
