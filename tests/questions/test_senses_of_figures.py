"""Every figure that is asked for or recorded says in its type what it is about, or here
why no slip of it can be thought of.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest
from msgspec import inspect

import standage.railway.slips
from standage.app import operations
from standage.railway.slips.parts import shape_of
from standage.railway.track.plans.plan import ModulePlan

UNITS = ("_mm", "_mm2", "_deg", "_percent", "_g", "_m", "_ft", "_km", "_kg")
AS_SMALL_AS_ANYBODY_LIKES = "it may be nothing at all, and any length is sensible"
HELD_BY_THE_VEHICLE = "the vehicle's own figures, which have senses, hold it"
NO_SLIP: dict[str, str] = {
    **dict.fromkeys(
        (
            "margin_mm",
            "stopping_margin_mm",
            "gap_mm",
            "gap_to_next_mm",
            "spot_play_mm",
            "straight_mm",
            "edge_mm",
            "straight_between_mm",
            "step_mm",
            "vertical_curve_mm",
            "top_vertical_curve_mm",
            "deck_mm",
            "track_mm",
            "spots_mm",
            "uncoupling_places_mm",
            "headshunt_uncoupling_places_mm",
            "hand_reaches_from_mm",
            "bridging_mm",
            "smallest_for_mm",
            "up_to_mm",
            "ends_at_mm",
            "island_width_mm",
            "rail_mm",
            "wire_mm",
            "reserve_mm",
            "saw_mm",
            "dropper_over_mm",
            "underlay_width_mm",
        ),
        AS_SMALL_AS_ANYBODY_LIKES,
    ),
    **dict.fromkeys(
        (
            "front_overhang_mm",
            "rear_overhang_mm",
            "first_axle_mm",
            "bridging_axles_mm",
        ),
        HELD_BY_THE_VEHICLE,
    ),
    **dict.fromkeys(
        (
            "reach_mm",
            "projection_mm",
            "play_mm",
            "pivot_behind_mm",
            "swing_deg",
            "buffer_centres_mm",
            "buffer_head_width_mm",
        ),
        "a few millimetres or degrees, by no scale: makers differ by more than a slip",
    ),
    **dict.fromkeys(
        ("mass_g", "engine_mass_g", "vehicle_mass_g", "drawbar_pull_g"),
        "models and boards weigh what they are made of: no scale says how much",
    ),
    **dict.fromkeys(
        ("ran_at_radius_mm", "failed_at_radius_mm"),
        "a trial is the better, the sharper the curve",
    ),
    "rail_height_mm": "the height of a hall's floor follows no scale",
    "height_mm": "the same, of a standard's rule; a vehicle's height has a sense",
    "offset_mm": "what a standard lets pass; where a track lies has a sense",
    "offsets_mm": "places for tracks: which of them are neighbours is not said",
    "curve_drag_percent": "what curves add is a fraction of any gradient",
    "near_rails_mm": "a spacing less a gauge: written for a spacing it is a slip there",
    "stock_length_mm": "track is bought in every length, and by no scale",
    "points_length_mm": "makers' sets of points differ by more than a slip",
    "rim_radius_mm": "where roads begin about a turntable: as far out as anybody likes",
    "angle_deg": "an angle has no unit that could be mistaken",
}
"""Why no slip can be thought of; whatever ends in ``_plus_minus_mm`` is as small as the
member's tape is good.
"""

OF_A_PLAN = (
    "standage.railway.track.pieces.",
    "standage.railway.track.plans.",
    "standage.questions.fouling_point",
)
"""Where the figures of track plans are: they have every size, from a millimetre of
straight to the length of a hall, and the questions about them declare so.
"""


def structs_in(told: inspect.Type, seen: set[type]) -> Iterator[type[msgspec.Struct]]:
    """Yield every struct that a value of that type may hold, each once."""
    if isinstance(told, inspect.StructType) and told.cls not in seen:
        seen.add(told.cls)
        yield told.cls
        for field in told.fields:
            yield from structs_in(field.type, seen)
    below = [
        *getattr(told, "types", ()),
        *getattr(told, "item_types", ()),
        *(
            getattr(told, name)
            for name in ("type", "item_type", "key_type", "value_type")
            if hasattr(told, name)
        ),
    ]
    for one in below:
        yield from structs_in(one, seen)


def asked_and_recorded() -> list[type[msgspec.Struct]]:
    seen: set[type] = set()
    found: list[type[msgspec.Struct]] = []
    for takes in (operation.takes for operation in operations()):
        for kind in (takes.body, takes.query, takes.patch_of):
            if kind is not None:
                found += structs_in(inspect.type_info(kind), seen)
    return [kind for kind in found if not is_of_a_plan(kind)]


def is_of_a_plan(kind: type[msgspec.Struct]) -> bool:
    return kind.__module__.startswith(OF_A_PLAN) or issubclass(kind, ModulePlan)


def figures(kind: type[msgspec.Struct]) -> list[str]:
    return [
        field.name
        for field in msgspec.structs.fields(kind)
        if field.name.endswith(UNITS) and not field.name.endswith("plus_minus_mm")
    ]


def with_senses(kind: type[msgspec.Struct]) -> set[str]:
    return {field.name for field in shape_of(kind).fields}


KINDS = asked_and_recorded()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_every_figure_that_is_sent_has_a_sense_or_a_reason_for_none(
    kind: type[msgspec.Struct],
) -> None:
    assert set(figures(kind)) - with_senses(kind) <= NO_SLIP.keys()


def test_no_reason_is_given_for_what_is_never_sent_or_has_a_sense_everywhere() -> None:
    without = {
        field for kind in KINDS for field in set(figures(kind)) - with_senses(kind)
    }
    assert without == NO_SLIP.keys()


def test_what_looks_for_slips_names_no_figure_and_no_field() -> None:
    """Only its types say what a figure is: a name in a text would be looked up."""
    known = {field for kind in KINDS for field in figures(kind)}
    for path in Path(standage.railway.slips.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert node.value not in known, (path.name, node.value)
