"""What holds for all joints, outlines, rules and rakes."""

from collections.abc import Sequence
from itertools import combinations
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon  # type: ignore[import-untyped] # shapely ships no types

from standage.questions.module_join import ModuleJoinCase, reckon
from standage.railway.modules.boards import (
    Board,
    ConnectorPin,
    EndConnector,
    EndTrack,
    ModuleEnd,
    ModuleFigures,
)
from standage.railway.modules.joining import WORST_FIRST, JoinEnd, JoinTolerances
from standage.railway.modules.opposite import opposite
from standage.railway.modules.outlines import area_mm2, outline_faults
from standage.railway.modules.shortfalls import Shortfall, standard_verdict, weighed
from standage.railway.modules.standard_rules import (
    BoardMass,
    EndStraight,
    LeastRadius,
    LongestTrain,
    RailHeight,
    RailStep,
    Spacing,
    StandardRule,
    WireAreaRule,
)
from standage.railway.modules.standards import module_shortfalls, train_shortfalls
from standage.railway.stock.coupled import Rake, WholeLength, coupled, strung
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Extent
from standage.railway.stock.vehicles import Standing
from support.trains import known_vehicles, maybe, quarters

carried = st.sampled_from(
    ["front rail", "back rail", "common return", "16 V bus", "bell"]
)
tracks = st.lists(quarters(-60, 60), min_size=1, max_size=5, unique=True).map(
    lambda offsets: tuple(
        EndTrack(name=f"T{place}", offset_mm=mm) for place, mm in enumerate(offsets)
    )
)
connectors = st.dictionaries(st.integers(1, 5), carried, max_size=5).map(
    lambda pins: EndConnector(
        type="9-way D",
        pins=tuple(ConnectorPin(pin=pin, carries=words) for pin, words in pins.items()),
    )
)
ends = st.builds(
    JoinEnd,
    name=st.sampled_from(["Hill", "Dale"]),
    tracks=tracks,
    scale=st.sampled_from([None, "H0", "00", "N"]),
    wheels=st.sampled_from([None, "fine", "coarse"]),
    rail_height_mm=maybe(quarters(998, 1002)),
    straight_mm=maybe(quarters(0, 300)),
    connector=st.none() | connectors,
)


def mirrored(end: JoinEnd) -> JoinEnd:
    """Return the end that an end is made to meet: its own, seen from the other side."""
    turned = (
        msgspec.structs.replace(track, offset_mm=-track.offset_mm)
        for track in end.tracks
    )
    return msgspec.structs.replace(end, tracks=tuple(turned))


def figures(reasons: Sequence[Any]) -> list[tuple[Any, ...]]:
    return sorted((one.code, one.amount_mm or 0.0, one.field or "") for one in reasons)


@given(ends, ends)
def test_a_joint_is_the_same_from_either_side(one: JoinEnd, other: JoinEnd) -> None:
    here, there = (
        reckon(ModuleJoinCase(one=one, other=other)),
        reckon(ModuleJoinCase(one=other, other=one)),
    )
    for name in (
        "verdict",
        "mechanical",
        "electrical",
        "shift_mm",
        "step_mm",
        "straight_across_mm",
        "not_compared",
    ):
        assert getattr(here, name) == getattr(there, name)
    assert figures(here.because) == figures(there.because)
    assert {(pair.one, pair.other, pair.aside_mm) for pair in here.tracks} == {
        (pair.other, pair.one, pair.aside_mm) for pair in there.tracks
    }
    assert sorted(here.ends_there) == sorted(there.ends_there)


@given(ends)
def test_an_end_joins_its_own_mirror(end: JoinEnd) -> None:
    end = msgspec.structs.replace(end, rail_height_mm=1000.0)
    answer = reckon(
        ModuleJoinCase(
            one=end,
            other=mirrored(end),
            tolerances=JoinTolerances(offset_mm=0, step_mm=0),
        )
    )
    assert answer.verdict == "joins"
    assert all(pair.one == pair.other and pair.aside_mm == 0 for pair in answer.tracks)


@given(ends, ends, quarters(0, 40), quarters(0, 4), quarters(0, 40), quarters(0, 4))
def test_a_wider_tolerance_never_joins_worse(
    one: JoinEnd,
    other: JoinEnd,
    offset_mm: float,
    step_mm: float,
    more_mm: float,
    higher_mm: float,
) -> None:
    narrow = JoinTolerances(offset_mm=offset_mm, step_mm=step_mm)
    wide = JoinTolerances(offset_mm=offset_mm + more_mm, step_mm=step_mm + higher_mm)
    worse, better = (
        reckon(ModuleJoinCase(one=one, other=other, tolerances=it)).verdict
        for it in (narrow, wide)
    )
    assert WORST_FIRST.index(worse) <= WORST_FIRST.index(better)


@given(tracks, tracks)
def test_tracks_are_paired_so_that_no_pairing_of_as_many_misses_less(
    one: tuple[EndTrack, ...], other: tuple[EndTrack, ...]
) -> None:
    wide, narrow = sorted((one, other), key=len, reverse=True)
    positions = sorted(-track.offset_mm for track in narrow)
    least_mm = min(
        sum(abs(track - place) for track, place in zip(chosen, positions, strict=True))
        for chosen in combinations(
            sorted(track.offset_mm for track in wide), len(narrow)
        )
    )
    met = opposite(one, other)
    assert len(met.pairs) == len(narrow)
    assert sum(abs(pair.aside_mm) for pair in met.pairs) == least_mm
    assert len(met.pairs) + len(met.alone_on_one) == len(one)
    assert len(met.pairs) + len(met.alone_on_other) == len(other)


@given(
    st.lists(st.tuples(st.integers(-6, 6), st.integers(-6, 6)), min_size=3, max_size=9)
)
def test_an_outline_is_sound_just_where_an_independent_library_finds_it_so(
    corners: list[tuple[int, int]],
) -> None:
    outline = [(float(x), float(y)) for x, y in corners]
    polygon = Polygon(outline)
    sound = polygon.is_valid and polygon.area > 0 and len(set(outline)) == len(outline)
    assert (list(outline_faults(outline)) == []) == sound
    if sound:
        assert area_mm2(outline) == polygon.area


module_ends = st.builds(
    ModuleEnd,
    name=st.just("end"),
    tracks=tracks,
    rail_height_mm=maybe(quarters(995, 1005)),
    straight_mm=maybe(quarters(0, 300)),
    minimum_radius_mm=maybe(quarters(300, 1200)),
)
modules = st.builds(
    ModuleFigures,
    board=maybe(st.builds(Board, mass_g=maybe(quarters(1000, 40000)))),
    minimum_radius_mm=maybe(quarters(300, 1200)),
    class_of_line=st.sampled_from([None, "main", "branch"]),
    wire_area_mm2=maybe(quarters(0.25, 4)),
    ends=st.lists(module_ends, max_size=3).map(tuple),
)
extents = st.builds(Extent, known_mm=quarters(100, 3000), plus_minus_mm=quarters(0, 20))
classes = st.sampled_from([None, "main", "branch"])
some, more = quarters(0.25, 1200), quarters(0, 300)
tightened: st.SearchStrategy[tuple[StandardRule, StandardRule]] = st.one_of(
    st.builds(
        lambda mm, by, line: (
            LeastRadius(radius_mm=mm, class_of_line=line),
            LeastRadius(radius_mm=mm + by, class_of_line=line),
        ),
        some,
        more,
        classes,
    ),
    st.builds(
        lambda mm, by: (LongestTrain(length_mm=mm + by), LongestTrain(length_mm=mm)),
        some,
        more,
    ),
    st.builds(
        lambda mm, off, by: (
            RailHeight(height_mm=mm, plus_minus_mm=off + by),
            RailHeight(height_mm=mm, plus_minus_mm=off),
        ),
        quarters(995, 1005),
        quarters(0, 4),
        quarters(0, 4),
    ),
    st.builds(
        lambda mm, by: (RailStep(step_mm=mm + by), RailStep(step_mm=mm)),
        quarters(0, 4),
        quarters(0, 4),
    ),
    st.builds(
        lambda mm, by: (EndStraight(straight_mm=mm), EndStraight(straight_mm=mm + by)),
        some,
        more,
    ),
    st.builds(
        lambda mm, off, by: (
            Spacing(spacing_mm=mm, plus_minus_mm=off + by),
            Spacing(spacing_mm=mm, plus_minus_mm=off),
        ),
        quarters(1, 60),
        quarters(0, 4),
        quarters(0, 4),
    ),
    st.builds(
        lambda mm2, by: (WireAreaRule(area_mm2=mm2), WireAreaRule(area_mm2=mm2 + by)),
        quarters(1, 4),
        more,
    ),
    st.builds(
        lambda g, by: (BoardMass(mass_g=g + by), BoardMass(mass_g=g)),
        quarters(1, 40000),
        quarters(0, 40000),
    ),
)


def shortfalls(
    rule: StandardRule, module: ModuleFigures, extent: Extent
) -> list[tuple[int, Shortfall]]:
    return [*module_shortfalls([rule], module), *train_shortfalls([rule], extent)]


@given(tightened, modules, extents)
def test_a_tighter_rule_never_passes_more(
    rules: tuple[StandardRule, StandardRule], module: ModuleFigures, extent: Extent
) -> None:
    loose, tight = (shortfalls(rule, module, extent) for rule in rules)
    if loose:
        assert tight
    if any(found.verdict == "fails" for _, found in loose):
        assert any(found.verdict == "fails" for _, found in tight)


@given(
    st.lists(tightened, min_size=1, max_size=4),
    modules,
    extents,
    st.sets(st.integers(0, 7)),
)
def test_a_waiver_never_changes_a_figure(
    pairs: list[tuple[StandardRule, StandardRule]],
    module: ModuleFigures,
    extent: Extent,
    waived: set[int],
) -> None:
    rules = [rule for pair in pairs for rule in pair]
    found = [*module_shortfalls(rules, module), *train_shortfalls(rules, extent)]
    strict = weighed(rules, found, {})
    let_off = weighed(rules, found, dict.fromkeys(waived, "old and loved"))

    def bare(failures: Sequence[Any]) -> list[Any]:
        plain = [
            msgspec.structs.replace(one, verdict="fails", waived_because=None)
            for one in failures
        ]
        return sorted(plain, key=lambda one: (one.rule_number, one.message))

    assert bare(strict) == bare(let_off)
    assert {
        one.rule_number - 1 for one in let_off if one.verdict == "waived"
    } == waived & {place for place, _ in found}
    assert all(
        (one.verdict == "waived") == (one.waived_because is not None) for one in let_off
    )
    order = ("fails", "cannot_tell", "waived", "meets")
    assert order.index(standard_verdict(strict)) <= order.index(
        standard_verdict(let_off)
    )


whole = st.builds(
    WholeLength,
    length_mm=quarters(100, 900),
    length_over=st.sampled_from(["buffers", "couplings"]),
)
rakes = st.builds(
    Rake,
    vehicles=st.lists(known_vehicles, min_size=1, max_size=4).map(tuple),
    whole=maybe(whole),
)
NO_TYPES = CouplingTypes(())


@given(rakes)
def test_a_rake_turned_twice_is_the_rake(rake: Rake) -> None:
    assert rake.turned().turned() == rake


@given(rakes)
def test_a_rake_is_as_long_turned_as_it_is(rake: Rake) -> None:
    there, back = (
        coupled(strung([one]), types=NO_TYPES).pulled_out()
        for one in (rake, rake.turned())
    )
    assert there.known_mm == pytest.approx(back.known_mm)
    assert there.plus_minus_mm == pytest.approx(back.plus_minus_mm)


@given(st.lists(known_vehicles | rakes, min_size=1, max_size=5))
def test_a_train_holds_the_vehicles_of_its_rakes_and_each_length_that_was_measured(
    entries: list[Standing | Rake],
) -> None:
    train = strung(entries)
    apart = [
        one
        for entry in entries
        for one in (entry.vehicles if isinstance(entry, Rake) else (entry,))
    ]
    assert list(train.vehicles) == apart
    measured = [
        entry
        for entry in entries
        if isinstance(entry, Rake) and entry.whole is not None
    ]
    assert [
        train.vehicles[one.first - 1 : one.last] for one in train.measured_rakes
    ] == [entry.vehicles for entry in measured]
