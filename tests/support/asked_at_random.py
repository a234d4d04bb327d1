"""Questions as anybody might put them, well or badly: a body is drawn from the type of
the request, around the example that the question declares.

Fields come and go, figures move within their bounds, choices change; what is then
refused is mended where it was refused, since a body of which every other figure is
amiss is never answered.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from functools import cache
from random import Random
from typing import Any

from msgspec import inspect

from standage.questions.question import Question
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

Json = dict[str, Any]

NAMES = (
    "Coal wagon",
    "Harbour tank",
    "Fish van",
    "Brake coach",
    "Railbus",
    "Long saloon",
    "Brake van",
    "Bogie hopper",
)
TYPES = (
    "small hook-and-bar",
    "large hook-and-bar",
    "three-link",
    "knuckle",
    "loop",
    "our own hook",
)
WORDS: Mapping[str, Sequence[str]] = {
    "type": TYPES,
    "wheels": ("fine", "coarse"),
    "scale": ("00", "H0", "N British", "HO", "0 British"),
    "carries": ("front rail", "back rail", "left rail", "230 V", "points return"),
}
"""What is written in some fields, whatever the question; names in all others."""
USUAL: Mapping[str, tuple[float, float]] = {
    "reach_mm": (-1, 9),
    "projection_mm": (0, 9),
    "play_mm": (0, 2),
    "swing_deg": (5, 40),
    "pivot_behind_mm": (0, 20),
    "rigid_wheelbase_mm": (15, 120),
    "bogie_centres_mm": (20, 200),
    "bogie_wheelbase_mm": (10, 35),
    "length_mm": (40, 320),
    "full_size_length_m": (5, 27),
    "width_mm": (15, 60),
    "height_mm": (20, 80),
    "buffer_centres_mm": (0, 30),
    "buffer_head_width_mm": (3, 7),
    "gauge_mm": (9, 18.2),
    "mass_g": (8, 400),
    "headroom_mm": (30, 80),
    "steepest_gradient_percent": (0, 4),
    "gradient_percent": (0, 4),
    "limit_percent": (0.5, 4),
    "failed_at_radius_mm": (200, 499),
    "ran_at_radius_mm": (500, 800),
    "face_length_mm": (100, 900),
    "radius_mm": (200, 900),
    "minimum_radius_mm": (200, 700),
    "usable_length_mm": (0, 1500),
    "offset_mm": (-50, 50),
    "rail_height_mm": (1000, 1100),
    "train_length_mm": (100, 1500),
    "run_mm": (400, 4000),
    "rise_mm": (1, 120),
    "angle_deg": (5, 45),
    "lead_in_mm": (5, 40),
    "at_mm": (-50, 700),
    "vertical_curve_mm": (0, 200),
    "fouling_spacing_mm": (20, 60),
}
"""Between what a figure usually lies, whatever the question, where the bounds of its
type are much wider.
"""
_DOUBT = "plus_minus_mm"
_MOST_DOUBT_MM = 4.0
_WIDEST = 900.0
_MOST_MENDED = 20
_MENDED_THROUGHOUT = 0.8
NOTHING_ON_RECORD = Sources(None, "")


def asked(random: Random, question: Question[Any, Any, Any]) -> Json:
    """Return a body for a question, around its example; of five about one is refused
    once what it names is looked at.
    """
    request: Any = question.request
    kind = _described(request)
    body: Json = _Drawing(random).drawn(kind, question.example, "")
    looks_further = random.random() < _MENDED_THROUGHOUT
    return _mended(body, question, looks_further=looks_further)


@cache
def _described(kind: Any) -> inspect.Type:
    """Return what is to be known of a type; finding that out takes long."""
    return inspect.type_info(kind)


class _Drawing:
    """Draws values of types."""

    def __init__(self, random: Random) -> None:
        self._random = random
        self._by_type: Mapping[type, Callable[[Any, Any, str], Any]] = {
            inspect.Metadata: lambda kind, one, name: self.drawn(kind.type, one, name),
            inspect.UnionType: self._union,
            inspect.StructType: self._struct,
            inspect.VarTupleType: self._several,
            inspect.DictType: self._named,
            inspect.FloatType: self._figure,
            inspect.IntType: self._count,
            inspect.LiteralType: self._choice,
            inspect.BoolType: lambda _kind, _one, _name: random.random() < 0.5,
            inspect.StrType: self._text,
        }

    def drawn(self, kind: inspect.Type, example: Any, name: str) -> Any:
        """Return a value of a type for a field of that name; None where it knows
        none.
        """
        draw = self._by_type.get(type(kind))
        return None if draw is None else draw(kind, example, name)

    def _union(self, kind: inspect.UnionType, example: Any, name: str) -> Any:
        some = [one for one in kind.types if not isinstance(one, inspect.NoneType)]
        alike = [one for one in some if _is_tagged_as(one, example)]
        if not alike and isinstance(example, Mapping):
            alike = [one for one in some if isinstance(one, inspect.StructType)]
        return self.drawn(self._random.choice(alike or some), example, name)

    def _struct(self, kind: inspect.StructType, example: Any, _name: str) -> Json:
        known = example if isinstance(example, Mapping) else {}
        found = {
            field.encode_name: self._field(field, known)
            for field in kind.fields
            if self._is_given(field, known)
        }
        if kind.tag_field is not None:
            found[kind.tag_field] = kind.tag
        return {name: value for name, value in found.items() if value is not None}

    def _named(self, kind: inspect.DictType, example: Any, _name: str) -> Json:
        """Return values for the names that the example has."""
        known = example if isinstance(example, Mapping) else {}
        return {
            name: self.drawn(kind.value_type, one, name) for name, one in known.items()
        }

    def _is_given(self, field: inspect.Field, known: Mapping[str, Any]) -> bool:
        """Tell whether a field is in the body: an id never, as nothing is on record."""
        if field.required:
            return True
        if field.encode_name.endswith("_id"):
            return False
        part = 0.85 if field.encode_name in known else 0.4
        return self._random.random() < part

    def _field(self, field: inspect.Field, known: Mapping[str, Any]) -> Any:
        name = field.encode_name
        return self.drawn(field.type, known.get(name), name)

    def _several(
        self, kind: inspect.VarTupleType, example: Any, name: str
    ) -> list[Any]:
        """Return as many as the example has, now and then one fewer or one again."""
        given = list(example or [None])
        chance = self._random.random()
        if chance < 0.15 and len(given) > 1:
            given.pop(self._random.randrange(len(given)))
        elif chance > 0.7 and isinstance(given[0], Mapping):
            given.append(self._random.choice(given))
        return [self.drawn(kind.item_type, one, name) for one in given]

    def _figure(self, kind: inspect.FloatType, example: Any, name: str) -> float:
        low, high = _bounds(kind)
        if example is not None and self._random.random() < 0.7:
            value = float(example) * self._random.uniform(0.7, 1.4)
        else:
            usual = (
                low,
                min(high, low + _MOST_DOUBT_MM if _DOUBT in name else _WIDEST),
            )
            value = self._random.uniform(*USUAL.get(name, usual))
        whole = self._random.random() < 0.3
        rounded = float(round(value)) if whole else round(value, 1)
        return rounded if low < rounded <= high else value

    def _count(self, kind: inspect.IntType, example: Any, _name: str) -> int:
        low = 1 if kind.ge is None else kind.ge
        high = low + 5 if kind.le is None else min(kind.le, low + 5)
        if example is not None and self._random.random() < 0.5:
            return int(example)
        return self._random.randint(low, high)

    def _choice(self, kind: inspect.LiteralType, example: Any, name: str) -> Any:
        if example is not None and self._random.random() < 0.6:
            return example
        usual = [one for one in WORDS.get(name, ()) if one in kind.values]
        return self._random.choice(usual or list(kind.values))

    def _text(self, _kind: inspect.StrType, example: Any, name: str) -> str:
        words = WORDS.get(name)
        if example is not None and (words is None or self._random.random() < 0.7):
            return str(example)
        return self._random.choice(words or NAMES)


def _is_tagged_as(kind: inspect.Type, example: Any) -> bool:
    """Tell whether an example says by its tag that it is of a kind."""
    if not isinstance(kind, inspect.StructType) or not isinstance(example, Mapping):
        return False
    return kind.tag_field is not None and example.get(kind.tag_field) == kind.tag


def _bounds(kind: inspect.FloatType) -> tuple[float, float]:
    low = next((one for one in (kind.ge, kind.gt) if one is not None), 0.0)
    high = next((one for one in (kind.le, kind.lt) if one is not None), _WIDEST)
    return float(low), float(high)


def _mended(
    body: Json, question: Question[Any, Any, Any], *, looks_further: bool
) -> Json:
    """Return the body without what is refused: first as the example has it, then
    without it, then the same with whatever it is a part of.
    """
    tried: Counter[str] = Counter()
    for _ in range(_MOST_MENDED):
        try:
            request = convert(body, question.request)
            if looks_further:
                question.gather(NOTHING_ON_RECORD, request)
        except Faulty as faulty:
            pointers = dict.fromkeys(fault.pointer or "" for fault in faulty.faults)
        else:
            break
        for pointer in reversed(pointers):
            times = tried[pointer]
            tried[pointer] += 1
            path = pointer.split("/")[1:]
            part = path[: max(1, len(path) - times // 2)]
            _mend(body, question.example, part, leave_out=times % 2 == 1)
    return body


def _mend(
    body: Any, example: Any, path: Sequence[str], *, leave_out: bool = False
) -> None:
    """Put the example's part at the end of a path in the place of what is there, or
    nothing.
    """
    for step in path[:-1]:
        body, example = _within(body, step), _within(example, step)
    known = None if leave_out or not path else _within(example, path[-1])
    if isinstance(body, dict) and path:
        body.pop(path[-1], None)
        if known is not None:
            body[path[-1]] = deepcopy(known)
    elif isinstance(body, list) and path and int(path[-1]) < len(body):
        del body[int(path[-1])]
        if known is not None:
            body.insert(int(path[-1]), deepcopy(known))


def _within(value: Any, step: str) -> Any:
    if isinstance(value, Mapping):
        return value.get(step)
    if isinstance(value, list) and step.isdigit() and int(step) < len(value):
        return value[int(step)]
    return None
