"""The operations that answer questions: all inline, or about what is on record."""

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any

import msgspec

from standage.api.web.decode import as_parameters
from standage.api.web.operation import SVG, Call, Operation, Reads, Reply
from standage.questions import (
    capacity,
    couplings_from_train,
    curve,
    gradient,
    haulage,
    length,
    passing,
    points,
    train_fit,
)
from standage.questions.sources import Sources
from standage.questions.train_fit_sheet import train_fit_sheet
from standage.railway.terms.figures import IdOrName, Radius, Room, Tolerance, says
from standage.registry.records.reading import Reading


class PlaceTrainFitQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which train on record is to stand in the place."""

    train_id: Annotated[IdOrName, says("The train on record.")]
    stopping_margin_mm: Annotated[
        Room | None,
        says(
            "Room left for stopping, both ends together, in mm; the place's own if not"
            " given."
        ),
    ] = None


class OnCurveQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which curve the stock on record is to go round."""

    radius_mm: Annotated[
        Radius, says("The radius of the curve to the centre line of the track, in mm.")
    ]
    radius_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the radius may be, either way, in mm; 0 if not said."),
    ] = None


class TrainOnCurveQuery(
    OnCurveQuery, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which curve, or two, the train on record is to go round."""

    couplings: Annotated[bool, says("Whether the couplings are judged too.")] = False
    reverse: Annotated[
        bool,
        says("Whether a curve the other way follows; the couplings are judged too."),
    ] = False
    reverse_radius_mm: Annotated[
        Radius | None,
        says("Of the curve the other way, in mm; as sharp as the first if not given."),
    ] = None
    straight_between_mm: Annotated[
        Room | None, says("Straight between the two curves, in mm; 0 if not given.")
    ] = None


_CHECK: dict[str, Any] = {
    "method": "POST",
    "tag": "Questions",
    "rate": "check",
    "may_be_open": True,
}
_ASK: dict[str, Any] = {
    "method": "GET",
    "tag": "Questions",
    "rate": "check",
    "tagged": True,
}


def check_operations() -> list[Operation]:
    """Return every question that can be asked."""
    return [
        *_of_stock(),
        *_drawn(),
        *_of_roads_and_rises(),
        *_of_figures(),
        *_on_record(),
    ]


def _of_stock() -> list[Operation]:
    return [
        Operation(
            **_CHECK,
            id="checkTrainFit",
            path="/v1/checks/train-fit",
            summary="Does this train fit this place?",
            description=(
                "How long the train is coupled together, what is left over in the"
                " place, and what would help if it does not fit. Train and place may be"
                " given inline or by their ids."
            ),
            act=Reads(_gathering(train_fit.gather), _reporting(train_fit.reckon)),
            answer=train_fit.TrainFitAnswer,
            body=train_fit.TrainFitRequest,
        ),
        Operation(
            **_CHECK,
            id="checkCurve",
            path="/v1/checks/curve",
            summary="Can this stock run on this curve?",
            description=(
                "For each vehicle: whether it runs, and how far its middle and its ends"
                " stand out from the track's centre line."
            ),
            act=Reads(_gathering(curve.gather), _reporting(curve.reckon)),
            heavy=_is_train_on_curve,
            answer=curve.CurveAnswer,
            body=curve.CurveRequest,
        ),
        Operation(
            **_CHECK,
            id="checkPassing",
            path="/v1/checks/passing",
            summary="Do trains clear each other on two tracks side by side?",
            description=(
                "Every vehicle is tried on the outer track against every one on the"
                " inner; the worst pair decides and is named."
            ),
            act=Reads(_gathering(passing.gather), _reporting(passing.reckon)),
            answer=passing.PassingAnswer,
            body=passing.PassingRequest,
        ),
    ]


def _drawn() -> list[Operation]:
    return [
        Operation(
            **_CHECK,
            id="drawTrainFit",
            path="/v1/checks/train-fit/drawing",
            summary="Draw a train in its place",
            description=(
                "The same request as for the answer. Road, train, what is left for"
                " stopping and what is left over or too long, true to length in black"
                " and white; beneath them the sum and the reasons."
            ),
            act=Reads(_gathering(train_fit.gather), _train_fit_drawn),
            answer=str,
            answers_as=SVG,
            body=train_fit.TrainFitRequest,
        ),
    ]


def _of_roads_and_rises() -> list[Operation]:
    return [
        Operation(
            **_CHECK,
            id="checkCapacity",
            path="/v1/checks/capacity",
            summary="How many vehicles of one type does a road hold?",
            description=(
                "How many stand there, and how many can be worked there while each in"
                " turn is brought to a fixed spot."
            ),
            act=Reads(_gathering(capacity.gather), _reporting(capacity.reckon)),
            answer=capacity.CapacityAnswer,
            body=capacity.CapacityRequest,
        ),
        Operation(
            **_CHECK,
            id="checkCouplingsFromTrain",
            path="/v1/checks/couplings-from-train",
            summary="How far do our couplings reach, by a train that was measured?",
            description=(
                "From the vehicles' own lengths and that of the train coupled up and"
                " pulled out: the reach of each end with its ±, offered as a coupling"
                " type of the club."
            ),
            act=Reads(
                _gathering(couplings_from_train.gather),
                _reporting(couplings_from_train.reckon),
            ),
            answer=couplings_from_train.CouplingsFromTrainAnswer,
            body=couplings_from_train.CouplingsFromTrainRequest,
        ),
        Operation(
            **_CHECK,
            id="checkGradient",
            path="/v1/checks/gradient",
            summary="How steep is a rise, and what does a train feel of it?",
            description=(
                "The mean and the steepest gradient of a rise eased at both ends, what"
                " a train of a given length feels, the run that a limit needs, and the"
                " headroom of a helix."
            ),
            act=Reads(_as_asked, _reporting(gradient.reckon)),
            answer=gradient.GradientAnswer,
            body=gradient.GradientRequest,
        ),
        Operation(
            **_CHECK,
            id="checkHaulage",
            path="/v1/checks/haulage",
            summary="How many vehicles will an engine haul up a gradient?",
            description=(
                "A band, never one number: from what it hauls on the level or from a"
                " measured drawbar pull."
            ),
            act=Reads(_as_asked, _reporting(haulage.reckon)),
            answer=haulage.HaulageAnswer,
            body=haulage.HaulageRequest,
        ),
    ]


def _of_figures() -> list[Operation]:
    return [
        Operation(
            **_ASK,
            id="readLength",
            path="/v1/lengths",
            summary="What is a length, as somebody wrote it, in millimetres?",
            description=(
                "Feet and inches, fractions, metres, millimetres; with a scale where it"
                " is the full size's."
            ),
            act=Reads(_query_as_asked, _reporting(length.reckon)),
            answer=length.LengthAnswer,
            query=length.LengthRequest,
            may_be_open=True,
        ),
        Operation(
            **_ASK,
            id="readPoints",
            path="/v1/points",
            summary="What angle has a set of points by its number, and what curve?",
            description=(
                "The number by either measure and the angle, from one of them; with a"
                " gauge, lead and radius of the simple set."
            ),
            act=Reads(_query_as_asked, _reporting(points.reckon)),
            answer=points.PointsAnswer,
            query=points.PointsRequest,
            may_be_open=True,
        ),
    ]


def _on_record() -> list[Operation]:
    return [
        Operation(
            **_ASK,
            id="getPlaceTrainFit",
            path="/v1/layouts/{layout_id}/places/{place_id}/train-fit",
            summary="Does a train on record fit a place on record?",
            description=(
                "As the inline question, with everything on record; names other places"
                " of the layout that hold the train."
            ),
            act=Reads(_place_train_fit, _reporting(train_fit.reckon)),
            answer=train_fit.TrainFitAnswer,
            query=PlaceTrainFitQuery,
        ),
        Operation(
            **_ASK,
            id="getVehicleCurve",
            path="/v1/vehicles/{vehicle_id}/curve",
            summary="Can a vehicle on record run on a curve?",
            description="As the inline question, with the figures on record.",
            act=Reads(_vehicle_curve, _reporting(curve.reckon)),
            answer=curve.CurveAnswer,
            query=OnCurveQuery,
        ),
        Operation(
            **_ASK,
            id="getTrainCurve",
            path="/v1/trains/{train_id}/curve",
            summary="Can a train on record run on a curve?",
            description=(
                "As the inline question, for every vehicle of the train, and for its"
                " couplings if asked."
            ),
            act=Reads(_train_curve, _reporting(curve.reckon)),
            heavy=_is_train_on_curve,
            answer=curve.CurveAnswer,
            query=TrainOnCurveQuery,
        ),
    ]


def _gathering(
    gather: Callable[[Sources, Any], Any],
) -> Callable[[Reading | None, Call], Any]:
    def gathered(reading: Reading | None, call: Call) -> Any:
        club_id = "" if call.permit is None else call.club_id
        return gather(Sources(reading, club_id), call.body)

    return gathered


def _as_asked(_reading: Reading | None, call: Call) -> Any:
    return call.body


def _query_as_asked(_reading: Reading | None, call: Call) -> Any:
    return call.query


def _reporting(reckon: Callable[[Any], Any]) -> Callable[[Any], Reply]:
    return partial(_reported, reckon)


def _reported(reckon: Callable[[Any], Any], case: Any) -> Reply:
    """Report what is reckoned: by its name, so that another process can."""
    return Reply(content=reckon(case))


def _train_fit_drawn(case: train_fit.TrainFitCase) -> Reply:
    return Reply(content=train_fit_sheet(case).encode(), media_type=SVG)


def _is_train_on_curve(case: curve.CurveCase) -> bool:
    """Tell whether couplings are in question: their cures may take seconds."""
    return case.curve.judges_couplings


def _place_train_fit(reading: Reading | None, call: Call) -> train_fit.TrainFitCase:
    sources = Sources(reading, call.club_id)
    sources.read_ahead(call.query.train_id, layout_id=call.path["layout_id"])
    place = sources.place_at(call.path["layout_id"], call.path["place_id"])
    train = sources.train_asked(call.query.train_id, "train_id")
    return train_fit.case_of(
        sources, train, place, stopping_margin_mm=call.query.stopping_margin_mm
    )


def _vehicle_curve(reading: Reading | None, call: Call) -> curve.CurveCase:
    sources = Sources(reading, call.club_id)
    vehicle = sources.vehicle_at(call.path["vehicle_id"])
    return curve.CurveCase(
        vehicles=(vehicle,),
        curve=_asked_curve(call.query),
        types=sources.coupling_types(),
    )


def _train_curve(reading: Reading | None, call: Call) -> curve.CurveCase:
    sources = Sources(reading, call.club_id)
    sources.read_ahead(call.path["train_id"])
    train = sources.train_at(call.path["train_id"])
    return curve.CurveCase(
        vehicles=train.vehicles,
        curve=_asked_curve(call.query),
        types=sources.coupling_types(),
    )


def _asked_curve(query: OnCurveQuery) -> curve.AskedCurve:
    """Return the curve that a query asks about; raises ``Faulty`` where its parameters
    contradict each other.
    """
    given = {
        name: value
        for name, value in msgspec.structs.asdict(query).items()
        if value is not None
    }
    return as_parameters(given, curve.AskedCurve)
