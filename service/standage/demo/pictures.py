"""A train in its road, drawn to scale in letters, and the sum that goes with it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from standage.demo.headlines import lacks_face, millimetres
from standage.demo.plans import PLACES, Made, items
from standage.demo.stock import VEHICLES

Answer = Mapping[str, Any]
Json = dict[str, Any]

COLUMNS = 72
_INDENT = "   "
_PASSENGER_KINDS = ("coach", "multiple_unit_car", "railcar")


class Picture(NamedTuple):
    """The vehicles, from the head, and the place that a picture is of, by the demo's
    own keys.
    """

    made: Made
    place: str


class _Stood(NamedTuple):
    vehicle: Json
    from_mm: float


def picture(of: Picture, answer: Answer) -> Iterator[str]:
    """Yield the train with the length that decides beneath it, to one scale, and then
    the sum.
    """
    train_mm, usable_mm = answer["train_length_mm"], answer["usable_length_mm"]
    vehicles = [VEHICLES[key] for key, count in items(of.made) for _ in range(count)]
    vehicles_mm = sum(vehicle["length_mm"] for vehicle in vehicles)
    standing = list(
        _standing(vehicles, between_mm=(train_mm - vehicles_mm) / len(vehicles))
    )
    place = PLACES[of.place][1]
    scale = COLUMNS / max(train_mm, usable_mm)
    yield _INDENT + _drawn(standing, scale)
    if lacks_face(answer):
        first = next(one for one in standing if one.vehicle["kind"] in _PASSENGER_KINDS)
        yield (
            _INDENT
            + " " * round(first.from_mm * scale)
            + _length("face", place["face_length_mm"], scale)
        )
        yield _INDENT + _sum_of_a_face(answer, place["face_length_mm"])
    else:
        yield _INDENT + _length(place["name"], usable_mm, scale)
        yield from (
            _INDENT + line
            for line in _sum_of_a_road(answer, place["kind"], vehicles_mm=vehicles_mm)
        )


def _standing(vehicles: Sequence[Json], *, between_mm: float) -> Iterator[_Stood]:
    """Yield each vehicle with where it begins; what its couplings take is shared out
    alike.
    """
    from_mm = between_mm / 2
    for vehicle in vehicles:
        yield _Stood(vehicle, from_mm)
        from_mm += vehicle["length_mm"] + between_mm


def _drawn(standing: Sequence[_Stood], scale: float) -> str:
    drawn = ""
    for vehicle, from_mm in standing:
        first, last = (
            round(from_mm * scale),
            round((from_mm + vehicle["length_mm"]) * scale),
        )
        inside = max(0, last - first - 2)
        box = (
            f"◄{'█' * inside}▌" if vehicle["kind"] == "engine" else f"[{'▒' * inside}]"
        )
        drawn = drawn.ljust(first) + box
    return drawn


def _length(name: str, length_mm: float, scale: float) -> str:
    inside = max(0, round(length_mm * scale) - 2)
    return f"├{f' {name} {millimetres(length_mm)} ':─^{inside}}┤"


def _sum_of_a_road(answer: Answer, kind: str, *, vehicles_mm: float) -> Iterator[str]:
    train_mm, margin_mm = answer["train_length_mm"], answer["stopping_margin_mm"]
    parts = (
        f"{millimetres(vehicles_mm)} of vehicles +"
        f" {millimetres(train_mm - vehicles_mm)} of couplings"
    )
    yield f"{parts} = {millimetres(train_mm)} of train,"
    needed = (
        f"+ {millimetres(margin_mm)} for stopping = {millimetres(train_mm + margin_mm)}"
    )
    yield f"{needed}; the {kind} has {millimetres(answer['usable_length_mm'])}."


def _sum_of_a_face(answer: Answer, face_mm: float) -> str:
    passengers = millimetres(face_mm - answer["face_spare_mm"])
    return (
        f"{passengers} from the first coach to the last; the face has"
        f" {millimetres(face_mm)}."
    )
