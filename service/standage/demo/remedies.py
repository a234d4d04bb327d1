"""What to do about an answer, as the tour prints it beneath the reasons."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from standage.demo.telling import counted, paragraph, sentence

Answer = Mapping[str, Any]


def advice(answer: Answer) -> Iterator[str]:
    """Yield what would help, one paragraph each."""
    for remedy in _REMEDIES:
        for line in remedy(answer):
            yield paragraph(line, indent="   → ")


def _what_to_leave_off(answer: Answer) -> Iterator[str]:
    instead = answer.get("instead") or {}
    if answer["verdict"] == "does_not_fit" and instead.get("drop"):
        yield f"Leave off: {counted(instead['drop'])}."
    if answer["verdict"] == "tight":
        yield "Measure the train whole, coupled up and pulled out: that halves the doubt and more. Or try it."
    if answer["verdict"] != "fits" and instead.get("places"):
        places = "; ".join(f"{one['name']} ({one['spare_mm']:,.0f} mm to spare)" for one in instead["places"])
        yield f"It fits in: {places}."


def _how_far_apart(answer: Answer) -> Iterator[str]:
    if answer["verdict"] != "clear" and answer.get("spacing_needed_mm"):
        yield f"Lay the tracks {answer['spacing_needed_mm']:,.1f} mm apart there, and all of them keep the margin."


def _how_long_a_climb(answer: Answer) -> Iterator[str]:
    instead = answer.get("instead") or {}
    if answer["verdict"] in {"steep", "too_steep"} and "run_needed_mm" in instead:
        run, rise = instead["run_needed_mm"], instead["rise_allowed_mm"]
        yield f"Give it a run of {run:,.0f} mm, or let it rise no more than {rise:.0f} mm."


def _what_cures_the_couplings(answer: Answer) -> Iterator[str]:
    if answer["verdict"] == "runs" or not answer.get("couplings"):
        return
    if answer.get("least_straight_mm"):
        yield f"Lay {answer['least_straight_mm']:,.0f} mm of straight track between the two curves."
    if answer.get("least_radius_mm"):
        yield f"Lay both curves to {answer['least_radius_mm']:,.0f} mm."


def _who_stands_where(answer: Answer) -> Iterator[str]:
    for road in answer.get("roads", ()):
        if road["trains"]:
            names = ", ".join(train["train"] for train in road["trains"])
            yield f"{road['road']}: {names} ({road['spare_mm']:,.0f} mm to spare)."


def _how_it_is_made_up(answer: Answer) -> Iterator[str]:
    if "from_pool" in answer and answer["vehicles"]:
        yield "Make it up of: " + ", ".join(f"{one['count']} × {one['name']}" for one in answer["vehicles"]) + "."


def _what_visitors_are_told(answer: Answer) -> Iterator[str]:
    if "fits_every_road" not in answer:
        return
    for name, words in (("longest_train", "The longest train of all"), ("least_radius", "The sharpest curve")):
        if answer[name] is not None:
            yield f"{words}: {answer[name]['value_mm']:,.0f} mm ({answer[name]['place']})."


def _what_falls_short(answer: Answer) -> Iterator[str]:
    for subject in answer.get("subjects", ()):
        for failure in subject["failures"]:
            yield sentence(f"{subject['name']}: {failure['message']}")


_REMEDIES: tuple[Callable[[Answer], Iterator[str]], ...] = (
    _what_to_leave_off,
    _how_far_apart,
    _how_long_a_climb,
    _what_cures_the_couplings,
    _who_stands_where,
    _how_it_is_made_up,
    _what_visitors_are_told,
    _what_falls_short,
)
