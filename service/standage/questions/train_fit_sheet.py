"""The sheet of a train in a place: to be looked at on a screen, or printed."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from standage.drawings.standing_trains import (
    DrawnFace,
    DrawnVehicle,
    StandingTrain,
    standing_drawing,
)
from standage.questions.drawing_cases import as_answered, notes_of
from standage.questions.question import PLAN_BYTES, Drawing
from standage.questions.reckoning import or_a_plan, surveying
from standage.questions.train_fit import (
    QUESTION,
    TrainFitCase,
    TrainFitRequest,
    gather,
    reckon,
)
from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.roads.allowances import called
from standage.railway.stock.coupled import Block, Coupled, coupled
from standage.railway.stock.couplings import coupling_types
from standage.railway.stock.joints import gap
from standage.railway.stock.vehicles import PASSENGER_KINDS
from standage.railway.terms.figures import tidy


@surveying
def train_fit_sheet(case: TrainFitCase) -> str:
    """Return the train of ``case`` in its place as SVG, with the reasons of the answer
    beneath it.
    """
    answer = reckon(case)
    train = coupled(case.train, types=coupling_types(case.types))
    decides = answer.counted_length_mm == answer.train_length_mm
    standing = StandingTrain(
        place=called(case.place),
        usable_mm=answer.usable_length_mm,
        margin_mm=answer.stopping_margin_mm,
        length_mm=answer.train_length_mm,
        spare_mm=answer.spare_mm if decides else None,
        vehicles=tuple(_vehicles(train)) if answer.train_length_mm is not None else (),
        face=_face(case, answer, train),
        because=(*notes_of(answer),),
    )
    return standing_drawing(standing)


def _vehicles(train: Coupled) -> Iterator[DrawnVehicle]:
    for block, from_mm in _placed(train):
        first, last = train.members[block.first], train.members[block.last]
        alone = block.first == block.last
        yield DrawnVehicle(
            name=first.name if alone else f"{first.name} to {last.name}",
            from_mm=tidy(from_mm),
            length_mm=tidy(block.extent.known_mm),
            is_engine=alone and first.vehicle.kind == "engine",
        )


def _placed(train: Coupled) -> Sequence[tuple[Block, float]]:
    """Return each vehicle, or rake measured whole, with how far behind the train's head
    it begins, in mm.
    """
    head, _ = train.outer_ends()
    from_mm = head.projection.known_mm
    placed = [(train.whole[0], from_mm)]
    for one, two in pairwise(train.whole):
        from_mm += one.extent.known_mm + gap(one.tail, two.head).known_mm
        placed.append((two, from_mm))
    return placed


def _face(
    case: TrainFitCase, answer: TrainFitAnswer, train: Coupled
) -> DrawnFace | None:
    """Return the platform's face where it was held against the train: it begins at the
    first passenger vehicle.
    """
    face_mm = case.place.face_length_mm
    if (
        face_mm is None
        or answer.face_spare_mm is None
        or answer.train_length_mm is None
    ):
        return None
    passengers_mm = tidy(face_mm - answer.face_spare_mm)
    first = _first_passenger(train, passengers_mm=passengers_mm)
    if first is None:
        return None
    from_mm = next(
        from_mm
        for block, from_mm in _placed(train)
        if block.first <= first <= block.last
    )
    return DrawnFace(
        length_mm=face_mm, from_mm=tidy(from_mm), passengers_mm=passengers_mm
    )


def _first_passenger(train: Coupled, *, passengers_mm: float) -> int | None:
    """Return the first vehicle of the length that was held against the face.

    It is the first that carries passengers, or one of which nobody says what it is, as
    the answer took it.
    """
    kinds = [member.vehicle.kind for member in train.members]
    for counted in (PASSENGER_KINDS, PASSENGER_KINDS | {None}):
        positions = [position for position, kind in enumerate(kinds) if kind in counted]
        if (
            positions
            and tidy(train.span(positions[0], positions[-1]).known_mm) == passengers_mm
        ):
            return positions[0]
    return None


DRAWING = Drawing(
    id="drawTrainFit",
    at="/v1/checks/train-fit/drawing",
    asks="Draw a train in its place",
    tells=(
        "The same request as for the answer. Road, train, what is left for stopping and"
        " what is left over or too long, true to length in black and white; beneath"
        " them the sum and the reasons."
    ),
    request=TrainFitRequest,
    gather=as_answered(gather),
    draw=train_fit_sheet,
    heavy=or_a_plan(),
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
