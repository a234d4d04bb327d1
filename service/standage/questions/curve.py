"""Whether stock goes round a curve, and how far it stands out there."""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.sources import Sources
from standage.railway.curves import OnCurve, weigh
from standage.railway.evidence import WORST_FIRST, CurveVerdict
from standage.railway.faults import Fault, Ruled
from standage.railway.figures import Radius, Tolerance, says
from standage.railway.guesses import told
from standage.railway.reasons import Assumed, Reason, worst
from standage.railway.vehicles import Vehicle


class AskedCurve(Ruled, frozen=True, kw_only=True):
    """A curve of one radius."""

    radius_mm: Annotated[Radius, says("Its radius to the centre line of the track, in mm.")]
    radius_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off the radius may be, either way, in mm; 0 if not said.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The curve is still a curve at the sharp end of its ±."""
        if self.radius_plus_minus_mm is not None and self.radius_plus_minus_mm >= self.radius_mm:
            yield Fault(
                code="contradiction", message="must be less than the radius itself", pointer="/radius_plus_minus_mm"
            )


class CurveRequest(Ruled, frozen=True, kw_only=True):
    """Which vehicles are to go round which curve."""

    vehicles: Annotated[Vehicles, says("The vehicles in question, each judged by itself.")]
    curve: Annotated[AskedCurve, says("The curve they are to go round.")]


class CurveCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that is needed to answer: the vehicles with their figures, and the curve."""

    vehicles: tuple[Vehicle, ...]
    radius_mm: float
    radius_plus_minus_mm: float = 0.0


class CurveAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether all of them run; then each vehicle, in the order asked. ``because`` has the worst first."""

    verdict: CurveVerdict
    vehicles: tuple[OnCurve, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


def reckon(case: CurveCase) -> CurveAnswer:
    """Return whether every vehicle of ``case`` runs on its curve; like vehicles are reckoned once."""
    weighed = {
        vehicle: weigh(vehicle, radius_mm=case.radius_mm, radius_plus_minus_mm=case.radius_plus_minus_mm)
        for vehicle in dict.fromkeys(case.vehicles)
    }
    answers = [each.answer for each in weighed.values()]
    verdict = worst((answer.verdict for answer in answers), order=WORST_FIRST)
    return CurveAnswer(
        verdict=verdict,
        vehicles=tuple(weighed[vehicle].answer for vehicle in case.vehicles),
        because=tuple(dict.fromkeys(_reasons(answers, verdict=verdict))),
        assumed=told(guess for each in weighed.values() for guess in each.guesses),
    )


def _reasons(answers: Iterable[OnCurve], *, verdict: CurveVerdict) -> Iterator[Reason]:
    """Yield the reasons of the worst vehicles first; those that run say why only where all run."""
    for answer in sorted(answers, key=lambda each: WORST_FIRST.index(each.verdict)):
        if answer.verdict != "runs" or verdict == "runs":
            yield from answer.because
        else:
            yield from (reason for reason in answer.because if reason.field is not None)


def gather(sources: Sources, request: CurveRequest) -> CurveCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return CurveCase(
        vehicles=sources.vehicles(request.vehicles, "/vehicles"),
        radius_mm=request.curve.radius_mm,
        radius_plus_minus_mm=request.curve.radius_plus_minus_mm or 0.0,
    )
