"""The words for what a plan is made of."""

from collections.abc import Iterator, Mapping, Sequence

from standage.railway.materials.counting import Counted
from standage.railway.materials.cutting import Cutting
from standage.railway.materials.goods import PLAIN, Good, What
from standage.railway.materials.rules import Rules
from standage.railway.terms.figures import (
    agreeing,
    counted,
    listed,
    millimetres,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.survey.survey import NOT_LISTED
from standage.shapes.faults import Fault

_MOST = 20
"""So many reasons of a sort are told."""
_SHORT_MM = 30.0
"""A shorter piece of track is hardly laid."""
_CALLED: dict[What, str] = {
    "straight": "straight track",
    "curve": "curved track",
    "transition": "transition track",
    "flexible": "flexible track",
    "track": "track by tape, its shape not known",
    "points": "points",
    "y_points": "Y points",
    "curved_points": "curved points",
    "three_way": "three-way points",
    "diamond": "diamond crossing",
    "single_slip": "single slip",
    "double_slip": "double slip",
    "buffer_stop": "buffer stop",
    "turntable": "turntable",
    "traverser": "traverser",
    "sector_plate": "sector plate",
    "cassette": "cassette",
    "joiners": "rail joiners between pieces",
    "joiners_within": "rail joiners within long pieces",
    "insulated_joiners": "insulated rail joiners",
    "board_joints": "joints at boards' edges, without joiners",
    "droppers": "pairs of wires to plain track",
    "feeds": "feeds",
    "gaps": "gaps sawn in a rail, away from joints",
    "uncouplers": "uncouplers",
    "point_motors": "point motors",
    "underlay": "underlay",
}
_FIGURES = {
    "hand": "{} hand",
    "first_hand": "first leg {}",
    "radius_mm": "radius {} mm",
    "outer_radius_mm": "outer radius {} mm",
    "inner_radius_mm": "inner radius {} mm",
    "first_radius_mm": "first radius {} mm",
    "second_radius_mm": "second radius {} mm",
    "slip_radius_mm": "slip radius {} mm",
    "angle_deg": "{}°",
    "outer_angle_deg": "outer leg {}°",
    "inner_angle_deg": "inner leg {}°",
    "first_angle_deg": "first leg {}°",
    "second_angle_deg": "second leg {}°",
    "number": "No. {}",
    "number_is": "by the {}",
    "crossing": "{} crossing",
    "deck_mm": "deck {} mm",
    "length_mm": "{} mm of its own track",
    "width_mm": "{} mm wide",
    "roads": "{} roads",
}
_POINTS: tuple[What, ...] = ("points", "y_points", "curved_points", "three_way")
_LEAST_RADIUS: tuple[What, ...] = ("transition", "flexible", "track")


def line_words(what: What, geometry: Mapping[str, str | float]) -> str:
    """Return what a line of the list is called, with its figures."""
    called = [_CALLED[what]]
    for field, value in geometry.items():
        shown = _shown(value)
        one = _FIGURES[field].format(shown)
        if field == "radius_mm" and what in _LEAST_RADIUS:
            one = f"least {one}"
        if field == "length_mm" and what == "cassette":
            one = f"{shown} mm"
        if field == "roads" and value == 1:
            one = "1 road"
        called.append(one)
    if _turns_unknown(what, geometry):
        called.append("measured")
    return ", ".join(called)


def _shown(value: str | float) -> str:
    if isinstance(value, str):
        return value.replace("_", " ")
    return f"{round(value, 2):,.2f}".rstrip("0").rstrip(".").replace(",", "")


def reasons(
    found: Counted, planned: Sequence[Good], cuts: Cutting, rules: Rules
) -> Iterator[Reason]:
    """Yield what is not known, then what is to be minded, then what is to be got."""
    yield from _unknown(found)
    yield from _short(cuts, rules)
    for fitting in found.off_the_track[:_MOST]:
        at = millimetres(fitting.at_mm)
        message = f"the gap {at} along {fitting.piece} is on no track: not counted"
        yield Reason(code="off_the_track", message=message, field=fitting.piece)
    yield _lengths(planned, cuts, rules)


def fault_reasons(faults: Sequence[Fault]) -> Iterator[Reason]:
    """Yield that a plan with faults is counted as far as it goes."""
    many = len(faults)
    if many and any(fault.code == NOT_LISTED for fault in faults):
        message = "the plan has too many faults to list: what is sound is counted"
        yield Reason(code="plan_faults", message=message)
    elif many:
        message = f"the plan has {counted(many, 'fault')}: what is sound is counted"
        yield Reason(code="plan_faults", message=message)


def _unknown(found: Counted) -> Iterator[Reason]:
    for name in found.unknown[:_MOST]:
        message = f"nobody knows how long the track of {name} is: it is in no length"
        yield Reason(code="missing_figure", message=message, field=name)
    nameless = [
        one for one in found.goods if _turns_unknown(one.what, dict(one.geometry))
    ]
    for one in nameless[:_MOST]:
        name = one.pieces[0]
        message = f"{name} was measured: which radius and angle to get is not known"
        yield Reason(code="measured", message=message, field=name)
    more = len(found.unknown[_MOST:]) + len(nameless[_MOST:])
    if more:
        pieces = counted(more, "more piece", plural="more pieces")
        verb = agreeing(more, "is", "are")
        message = f"{pieces} {verb} not known well enough"
        yield Reason(code="too_many", message=message)


def _turns_unknown(what: What, geometry: Mapping[str, object]) -> bool:
    """Tell whether points are known by their lengths alone, without any angle."""
    turns = [field for field in geometry if field.endswith("angle_deg")]
    return what in _POINTS and not turns and "number" not in geometry


def _short(cuts: Cutting, rules: Rules) -> Iterator[Reason]:
    """Yield the long pieces of which next to nothing is left beyond whole lengths."""
    every = [cut for one in cuts.lengths for cut in one.cuts]
    long = {cut.piece for cut in every if cut.length_mm == rules.stock_length_mm}
    rests = [cut for cut in every if cut.piece in long]
    short = [cut for cut in rests if cut.length_mm < _SHORT_MM]
    for cut in short[:_MOST]:
        message = (
            f"{cut.piece}: {millimetres(cut.length_mm)} beyond whole lengths is hardly"
            " laid: cut its last length shorter, and another for the rest"
        )
        yield Reason(
            code="short_piece",
            message=message,
            field=cut.piece,
            value_mm=cut.length_mm,
        )


def _lengths(planned: Sequence[Good], cuts: Cutting, rules: Rules) -> Reason:
    plain = [one for one in planned if one.what in PLAIN]
    long_mm = sum(one.length_mm or 0.0 for one in plain)
    if cuts.needed == 0:
        return Reason(code="no_track_to_get", message="no plain track is to be got")
    stock = millimetres(rules.stock_length_mm)
    message = (
        f"{millimetres(tidy(long_mm))} of plain track in"
        f" {counted(len(plain), 'piece')} is cut from"
        f" {counted(cuts.needed, 'length')} of {stock}"
    )
    if cuts.is_proved:
        message += "; no fewer will do"
    else:
        message += f"; at least {cuts.at_least} are needed"
    return Reason(code="cut_from", message=message, value_mm=tidy(long_mm))


def assumed(
    goods: Sequence[Good], rules: Rules, *, said: frozenset[str], has_gauge: bool
) -> Iterator[Assumed]:
    """Yield by what is counted where nobody says; ``said`` are the rules that somebody
    gave.
    """
    there = {one.what for one in goods}
    if there & set(PLAIN):
        yield from _of_plain_track(rules, said)
    if "joiners" in there or "insulated_joiners" in there:
        yield _practice("joiners", "two rail joiners for each joint between pieces")
    if "board_joints" in there:
        message = "boards come apart: no rail joiners where track of two boards meets"
        yield _practice("board_joints", message)
    if there & set(_POINTS):
        message = (
            "points of one hand, radius and angle are alike, however long their legs:"
            " they are trimmed"
        )
        yield _practice("points", message)
    if "point_motors" in there:
        message = (
            "one motor for points, two for three-way points and for a slip, one at each"
            " end with blades"
        )
        yield _practice("point_motors", message)
    if "buffer_stop" in there:
        message = "a buffer stop brings what track it has of its own"
        yield _practice("buffer_stop", message)
    if "underlay" in there:
        yield from _of_underlay(rules, said, has_gauge=has_gauge)


def _of_plain_track(rules: Rules, said: frozenset[str]) -> Iterator[Assumed]:
    message = (
        "all plain track, curves too, is cut from one sort of length; what is longer"
        " takes whole lengths and a rest"
    )
    yield _practice("cutting", message)
    if "stock_length_mm" not in said:
        stock = millimetres(rules.stock_length_mm)
        message = f"track is bought in lengths of {stock}: common practice, no source"
        yield _practice("stock_length_mm", message, value_mm=rules.stock_length_mm)
    if "saw_mm" not in said:
        message = f"a saw takes {millimetres(rules.saw_mm)}: common practice, no source"
        yield _practice("saw_mm", message, value_mm=rules.saw_mm)
    over = millimetres(rules.dropper_over_mm)
    message = f"one pair of wires for each length of plain track over {over}"
    if "dropper_over_mm" not in said:
        message += ": common practice, no source"
    yield _practice("dropper_over_mm", message, value_mm=rules.dropper_over_mm)


def _of_underlay(
    rules: Rules, said: frozenset[str], *, has_gauge: bool
) -> Iterator[Assumed]:
    along = (
        "underlay lies along every leg of points, and under both roads of a crossing"
    )
    yield _practice("underlay", along)
    if "underlay_width_mm" in said or not has_gauge:
        return
    width_mm = rules.underlay_width_mm or 0.0
    message = (
        f"underlay is {millimetres(width_mm)} wide, 2.3 gauges: common practice, no"
        " source"
    )
    yield _practice("underlay_width_mm", message, value_mm=width_mm)


def _practice(field: str, message: str, *, value_mm: float | None = None) -> Assumed:
    return Assumed(
        field=field,
        message=message,
        source="common_practice",
        value_mm=value_mm,
    )


def twice_reasons(modules: Mapping[str, Sequence[str]]) -> Iterator[Reason]:
    """Yield the modules on record that are in a plan more than once."""
    for names in modules.values():
        if len(names) > 1:
            message = f"{listed(names)} are one module: it is counted each time"
            yield Reason(code="module_twice", message=message)
