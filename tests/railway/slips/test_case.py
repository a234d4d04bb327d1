"""Slips in a whole: whose scale counts, what is passed over, how a figure's place is
told.
"""

from typing import Annotated

import msgspec

from standage.railway.modules.boards import TrackOffsetMm, WireAreaMm2
from standage.railway.roads.places import Place
from standage.railway.slips.judges import MOST_SLIPS, likely_slips
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    GradientPercent,
    Length,
    RadiusMm,
    SpacingMm,
    TrainLengthMm,
)
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import ASIDE, ITSELF, NAMES_IT


class Curve(msgspec.Struct, frozen=True, kw_only=True):
    """A curve as a question has it."""

    radius_mm: RadiusMm


class Track(msgspec.Struct, frozen=True, kw_only=True):
    """A track by where it crosses an end."""

    offset_mm: TrackOffsetMm


class Rule(msgspec.Struct, frozen=True, kw_only=True):
    """A rule without a name of its own."""

    area_mm2: WireAreaMm2


class Straight(msgspec.Struct, frozen=True, kw_only=True):
    """A piece of track, whose length is as short as anybody cuts it."""

    length_mm: Length


class Shuttle(msgspec.Struct, frozen=True, kw_only=True):
    """A struct that no room knows: its types alone say what its figures are."""

    from_end_to_end_mm: TrainLengthMm | None = None
    uphill: GradientPercent | None = None
    straights: tuple[Straight, ...] = ()


class Whole(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer might rest on."""

    vehicles: tuple[Vehicle, ...] = ()
    places: tuple[Place, ...] = ()
    other_places: Annotated[tuple[Place, ...], ASIDE] = ()
    curve: Annotated[Curve | None, ITSELF] = None
    bend: Curve | None = None
    rules: tuple[Rule, ...] = ()
    tracks: tuple[Track, ...] = ()
    scale: ScaleName | None = None
    name: Annotated[str | None, NAMES_IT] = None
    spacing_mm: SpacingMm | None = None


def coach(
    length_mm: float, *, scale: ScaleName | None = None, name: str = "Coach"
) -> Vehicle:
    return Vehicle(name=name, kind="coach", length_mm=length_mm, scale=scale)


def place(usable_length_mm: float, *, scale: ScaleName | None = None) -> Place:
    return Place(
        name="Dock", kind="siding", usable_length_mm=usable_length_mm, scale=scale
    )


def told(whole: Whole) -> list[tuple[str, str]]:
    return [(slip.code, slip.field) for slip in likely_slips(whole)]


def test_what_names_no_scale_is_of_the_one_that_the_roads_name() -> None:
    """A coach of 60 mm is a usual one in Z, and far too short for 00."""
    assert told(Whole(vehicles=(coach(60.0),))) == []
    assert told(Whole(vehicles=(coach(60.0),), places=(place(900.0, scale="00"),))) == [
        ("unit", "length_mm")
    ]
    assert told(Whole(vehicles=(coach(60.0),), scale="00")) == [("unit", "length_mm")]
    both = (place(900.0, scale="00"), place(900.0, scale="Z"))
    assert told(Whole(vehicles=(coach(60.0),), places=both)) == []


def test_else_it_is_of_the_only_one_that_vehicles_name() -> None:
    assert told(Whole(vehicles=(coach(60.0), coach(262.0, scale="00")))) == [
        ("unit", "length_mm")
    ]
    mixed = (coach(60.0), coach(262.0, scale="00"), coach(120.0, scale="Z"))
    assert told(Whole(vehicles=mixed)) == []


def test_a_vehicle_s_own_scale_comes_first() -> None:
    assert (
        told(
            Whole(
                vehicles=(coach(120.0, scale="Z"),), places=(place(900.0, scale="0"),)
            )
        )
        == []
    )


def test_a_radius_is_held_against_the_longest_vehicle_there_is() -> None:
    vehicles = (coach(262.0, scale="00"), coach(190.0, scale="00", name="Short"))
    assert told(Whole(vehicles=vehicles, curve=Curve(radius_mm=250.0))) != []
    assert told(Whole(vehicles=vehicles[1:], curve=Curve(radius_mm=250.0))) == []


def test_roads_that_nobody_asked_about_are_passed_over() -> None:
    assert told(Whole(places=(place(0.9),))) == [("unit", "usable_length_mm")]
    assert told(Whole(other_places=(place(0.9),))) == []


def test_like_vehicles_are_told_of_once_and_unlike_ones_each() -> None:
    whole = Whole(
        vehicles=(coach(26.0, scale="00"),) * 3
        + (coach(26.0, scale="00", name="Buffet"),)
    )
    assert [slip.vehicle for slip in likely_slips(whole)] == ["Coach", "Buffet"]


def test_no_more_than_twenty_are_told() -> None:
    many = tuple(
        coach(26.0, scale="00", name=f"Coach {number}") for number in range(30)
    )
    assert len(likely_slips(Whole(vehicles=many))) == MOST_SLIPS == 20


def test_a_figure_s_place_is_its_path_from_the_nearest_name() -> None:
    sharp = Curve(radius_mm=24.0)
    assert told(Whole(bend=sharp, scale="00")) == [("unit", "bend/radius_mm")]
    assert told(Whole(curve=sharp, scale="00")) == [("unit", "radius_mm")]
    assert told(Whole(rules=(Rule(area_mm2=1.5), Rule(area_mm2=0.8)))) == [
        ("area_or_diameter", "rules/1/area_mm2")
    ]
    (slip,) = likely_slips(Whole(name="Hill", rules=(Rule(area_mm2=0.8),)))
    assert (slip.place, slip.field) == ("Hill", "rules/0/area_mm2")


def test_neighbouring_tracks_too_near_each_other_are_told_whatever_their_order() -> (
    None
):
    tracks = (Track(offset_mm=60.0), Track(offset_mm=-18.0), Track(offset_mm=12.0))
    assert told(Whole(tracks=tracks, scale="H0")) == [
        ("spacing_or_gap", "tracks/2/offset_mm")
    ]
    assert told(Whole(tracks=tracks[:2], scale="H0")) == []


def test_a_whole_without_figures_holds_no_slip() -> None:
    assert likely_slips(Whole()) == ()


def test_a_piece_of_track_of_38_mm_is_not_taken_for_a_train() -> None:
    """38 mm is a filler that is sold for 00; a train of 38 mm would be one of 38 cm."""
    straights = (Straight(length_mm=38.0),)
    assert likely_slips(Shuttle(straights=straights)) == ()
    assert likely_slips(straights[0]) == ()


def test_a_figure_is_judged_by_its_type_whatever_its_field_is_called() -> None:
    shuttle = Shuttle(from_end_to_end_mm=9.0, uphill=50.0)
    assert [(slip.code, slip.field) for slip in likely_slips(shuttle)] == [
        ("unit", "from_end_to_end_mm"),
        ("percent_or_one_in", "uphill"),
    ]


def test_what_is_proposed_for_a_track_is_where_it_lies_and_raises_none() -> None:
    """Gaps of 29.5 mm between rails of 16.5 mm gauge are 46 mm between centre lines."""
    gaps = (-100.0, -70.5, -41.0, 59.0)
    tracks = tuple(Track(offset_mm=offset) for offset in gaps)
    slips = likely_slips(Whole(tracks=tracks, scale="H0"))
    assert [(slip.field, slip.likely_value) for slip in slips] == [
        ("tracks/1/offset_mm", -54.0),
        ("tracks/2/offset_mm", -8.0),
    ]
    assert slips[0].message.endswith("write 46, at offset -54")
    meant = (-100.0, -54.0, -8.0, 59.0)
    tracks = tuple(Track(offset_mm=offset) for offset in meant)
    assert likely_slips(Whole(tracks=tracks, scale="H0")) == ()
