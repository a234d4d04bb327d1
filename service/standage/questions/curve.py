"""Whether stock goes round a curve, and how far it stands out there."""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.exactness import MayBeExact, as_written
from standage.questions.sources import Sources
from standage.questions.warned import NOT_YET, Warnings, warned
from standage.railway.curving.alignment import Alignment
from standage.railway.curving.curves import OnCurve, weigh
from standage.railway.curving.joints_on_curves import JointOnCurve, couplings_on_curve
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.faults import Fault, Ruled
from standage.railway.terms.figures import Tolerance, says
from standage.railway.terms.guesses import told
from standage.railway.terms.reasons import Assumed, Reason, worst


class AskedCurve(Alignment, frozen=True, kw_only=True):
    """A curve of one radius, by itself or followed by one the other way."""

    radius_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off the radius may be, either way, in mm; 0 if not said.")
    ] = None
    couplings: Annotated[
        bool,
        says(
            "Whether the vehicles are a train in order from the head, whose couplings are judged too; also where the "
            "curve is said to be reverse, or something is said of its entry."
        ),
    ] = False

    def rules(self) -> Iterable[Fault]:
        """The curve is still a curve at the sharp end of its ±."""
        yield from super().rules()
        if self.radius_plus_minus_mm is not None and self.radius_plus_minus_mm >= min(self.radii_mm):
            message = "must be less than the radius itself"
            yield Fault(code="contradiction", message=message, pointer="/radius_plus_minus_mm")

    @property
    def judges_couplings(self) -> bool:
        """Whether the couplings are in question."""
        return self.couplings or self.reverse or self.entry is not None


class CurveRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Which vehicles are to go round which curve."""

    vehicles: Annotated[
        Vehicles, says("The vehicles in question, each judged by itself; in order from the head where couplings are.")
    ]
    curve: Annotated[AskedCurve, says("The curve they are to go round.")]


class CurveCase(MayBeExact, frozen=True, kw_only=True):
    """All that is needed to answer: the vehicles with their figures, the curve, and the club's own couplings."""

    vehicles: tuple[Standing, ...]
    curve: AskedCurve
    types: tuple[CouplingKind, ...] = ()


class CurveAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether all of them run; then each vehicle, in the order asked. ``because`` has the worst first.

    ``couplings`` has the joints from the head, if they are in question. ``least_straight_mm`` and ``least_radius_mm``
    would cure all of those that do not run well; null where none is needed or none helps.
    """

    verdict: CurveVerdict
    vehicles: tuple[OnCurve, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    couplings: tuple[JointOnCurve, ...] = ()
    least_straight_mm: int | None = None
    least_radius_mm: int | None = None
    warnings: Warnings = NOT_YET


@warned
def reckon(case: CurveCase) -> CurveAnswer:
    """Return whether every vehicle of ``case`` runs on its curve, and every joint if asked; like ones reckoned once.

    Of a reverse curve each vehicle is judged on the sharper of the two.
    """
    radius_mm = min(case.curve.radii_mm)
    plus_minus_mm = case.curve.radius_plus_minus_mm or 0.0
    types = CouplingTypes(case.types)
    weighed = {
        vehicle: weigh(vehicle, radius_mm=radius_mm, radius_plus_minus_mm=plus_minus_mm, types=types)
        for vehicle in dict.fromkeys(case.vehicles)
    }
    train = couplings_on_curve(case.vehicles, case.curve, types=types) if case.curve.judges_couplings else None
    answers = [each.answer for each in weighed.values()]
    joints = () if train is None else train.couplings
    judged: list[OnCurve | JointOnCurve] = [*answers, *joints]
    verdict = worst((each.verdict for each in judged), order=WORST_FIRST)
    return CurveAnswer(
        verdict=verdict,
        vehicles=tuple(weighed[vehicle].answer for vehicle in case.vehicles),
        because=tuple(dict.fromkeys(_reasons(judged, verdict=verdict))),
        assumed=tuple(
            dict.fromkeys(
                (
                    *told(guess for each in weighed.values() for guess in each.guesses),
                    *(note for joint in joints for note in joint.assumed),
                )
            )
        ),
        couplings=joints,
        least_straight_mm=None if train is None else train.least_straight_mm,
        least_radius_mm=None if train is None else train.least_radius_mm,
    )


def _reasons(answers: Iterable[OnCurve | JointOnCurve], *, verdict: CurveVerdict) -> Iterator[Reason]:
    """Yield the reasons of the worst vehicles and joints first; those that run say why only where all run."""
    for answer in sorted(answers, key=lambda each: WORST_FIRST.index(each.verdict)):
        if answer.verdict != "runs" or verdict == "runs":
            yield from answer.because
        else:
            yield from (reason for reason in answer.because if reason.field is not None)


@as_written
def gather(sources: Sources, request: CurveRequest) -> CurveCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return CurveCase(
        vehicles=sources.vehicles(request.vehicles, "/vehicles"),
        curve=request.curve,
        types=sources.coupling_types(),
    )
