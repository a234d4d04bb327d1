"""A layout's plan in letters: its modules along the line, and its roads beneath them,
all to one scale.
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from standage.demo.headlines import millimetres

Answer = Mapping[str, Any]

COLUMNS = 72
WIDTH = 75
_INDENT = "   "


class _Span(NamedTuple):
    from_mm: float
    to_mm: float

    @property
    def middle_mm(self) -> float:
        return (self.from_mm + self.to_mm) / 2


def plan_picture(answer: Answer, names: Mapping[str, str]) -> Iterator[str]:
    """Yield the plan of an answer about one, from the left end of its track to the
    right one.

    ``names`` are those of its modules, by what they are called in the plan. A place over
    several roads is left out: these have lines of their own.
    """
    whole = _span(answer, list(answer["poses"]))
    scale = COLUMNS / (whole.to_mm - whole.from_mm)
    yield _INDENT + _boards(
        answer,
        names,
        whole,
        scale,
    )
    for place in answer["places"]:
        if len(place["roads"]) > 1:
            continue
        yield _INDENT + _road(
            answer,
            place,
            whole,
            scale,
        )


def _span(answer: Answer, pieces: list[str]) -> _Span:
    """Return how far some pieces reach along the line."""
    ends = [end for piece in pieces for end in answer["poses"][piece].values()]
    xs_mm = [end["x_mm"] for end in ends]
    return _Span(min(xs_mm), max(xs_mm))


def _boards(
    answer: Answer, names: Mapping[str, str], whole: _Span, scale: float
) -> str:
    line = ""
    for module, name in names.items():
        pieces = [one for one in answer["poses"] if one.startswith(f"{module}/")]
        span = _span(answer, pieces)
        begins = round((span.from_mm - whole.from_mm) * scale)
        inside = round((span.to_mm - span.from_mm) * scale) - 2
        line = line[:begins].ljust(begins) + f"[{name:─^{inside}}]"
    return line


def _road(answer: Answer, place: Answer, whole: _Span, scale: float) -> str:
    """Return a road's usable length where it lies, with its name beside it."""
    roads = [road for road in answer["roads"] if road["name"] in place["roads"]]
    pieces = [piece for road in roads for piece in road["pieces"]]
    middle_mm = _span(answer, pieces).middle_mm - whole.from_mm
    usable_mm: float = place["usable_length_mm"]
    begins: int = max(0, round((middle_mm - usable_mm / 2) * scale))
    bar = f"├{'─' * (round(usable_mm * scale) - 2)}┤"
    words = f"{place['name']} {millimetres(round(usable_mm))}"
    after = " " * begins + f"{bar} {words}"
    if len(after) <= WIDTH:
        return after
    return f"{words} {bar}".rjust(begins + len(bar))
