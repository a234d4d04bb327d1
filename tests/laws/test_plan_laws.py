"""Laws of track plans: what a plan says hangs on its track, and not on how it is
written."""

from collections.abc import Iterable
from math import isclose
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.track.placing.placing import placing
from support.track_plans import (
    Document,
    Worked,
    curve,
    ladder,
    oval,
    passing_loop,
    points,
    read_plan,
    straight,
    worked,
)

lengths = st.floats(0, 900).map(lambda length: round(length, 1))
radii = st.floats(200, 2000).map(lambda radius: round(radius, 1))
turns = st.floats(3, 60).map(lambda angle: round(angle, 1))
hands = st.sampled_from(("left", "right"))
headings = st.floats(-180, 180)
plans = st.sampled_from((oval(), passing_loop(), ladder(roads=4)))

plain = st.one_of(
    st.builds(straight, lengths),
    st.builds(curve, radii, turns, hands),
    st.builds(
        lambda length, one, two, hand: {
            "kind": "transition",
            "length_mm": length,
            "radius_from_mm": one,
            "radius_to_mm": two,
            "hand": hand,
        },
        lengths,
        st.one_of(st.none(), radii),
        st.one_of(st.none(), radii),
        hands,
    ),
)


def in_a_row(pieces: list[Document]) -> Document:
    named = {f"T{number}": piece for number, piece in enumerate(pieces)}
    joins = [[f"T{one}.b", f"T{one + 1}.a"] for one in range(len(pieces) - 1)]
    return {"pieces": named, "joins": joins}


def spots(found: Worked) -> dict[str, complex]:
    ends = {}
    for piece, shape in found.placed.shapes.items():
        for end in shape.ends:
            spot = found.placed.spot((piece, end))
            if spot is not None:
                ends[f"{piece}.{end}"] = spot.point
    return ends


def alike(one: Iterable[float | None], other: Iterable[float | None]) -> bool:
    return all(
        (a is None and b is None)
        or (a is not None and b is not None and isclose(a, b, abs_tol=1e-5))
        for a, b in zip(one, other, strict=True)
    )


def usable(found: Worked) -> dict[str, float | None]:
    return {one.road.name: one.usable_length_mm for one in found.usable}


def fouling(found: Worked) -> dict[tuple[str, str], float | None]:
    return {
        (point.points, leg.leg): leg.farthest.from_blades_mm
        for point in found.points
        for leg in point.legs
    }


def same_figures(one: Worked, other: Worked) -> bool:
    lengths_of, others = usable(one), usable(other)
    limits, other_limits = fouling(one), fouling(other)
    assert lengths_of.keys() == others.keys()
    assert limits.keys() == other_limits.keys()
    names = sorted(lengths_of)
    legs = sorted(limits)
    return alike(
        [lengths_of[name] for name in names], [others[name] for name in names]
    ) and alike([limits[leg] for leg in legs], [other_limits[leg] for leg in legs])


@given(plan=plans, x=st.floats(-9e4, 9e4), y=st.floats(-9e4, 9e4), heading=headings)
def test_a_plan_that_is_moved_as_a_whole_keeps_all_its_lengths(
    plan: Document, x: float, y: float, heading: float
) -> None:
    first = plan["joins"][0][0].split(".")[0]
    placed = {"piece": first, "x_mm": x, "y_mm": y, "heading_deg": heading}
    here, there = worked(plan), worked({**plan, "placed": [placed]})
    assert same_figures(here, there)
    near, far = spots(here), spots(there)
    base = min(near)
    for end in near:
        apart = abs(near[end] - near[base])
        assert isclose(abs(far[end] - far[base]), apart, abs_tol=1e-6)


@given(plan=plans, chance=st.randoms(use_true_random=False))
def test_nothing_hangs_on_the_order_of_pieces_or_of_a_joins_ends(
    plan: Document, chance: Any
) -> None:
    names = list(plan["pieces"])
    chance.shuffle(names)
    joins = [list(join) for join in plan["joins"]]
    for join in joins[1:]:
        chance.shuffle(join)
    other = {"pieces": {name: plan["pieces"][name] for name in names}, "joins": joins}
    one, two = worked(plan), worked(other)
    assert same_figures(one, two)
    assert [road.name for road in one.roads] == [road.name for road in two.roads]
    assert [road.pieces for road in one.roads] == [road.pieces for road in two.roads]
    here, there = spots(one), spots(two)
    assert all(isclose(abs(here[end] - there[end]), 0, abs_tol=1e-9) for end in here)


@given(plan=plans, chance=st.randoms(use_true_random=False))
def test_nothing_but_the_frame_hangs_on_the_order_of_joins(
    plan: Document, chance: Any
) -> None:
    joins = list(plan["joins"])
    chance.shuffle(joins)
    one, two = worked(plan), worked({**plan, "joins": joins})
    assert same_figures(one, two)
    assert {road.name for road in one.roads} == {road.name for road in two.roads}


@given(pieces=st.lists(plain, min_size=1, max_size=6), at=st.floats(0, 1))
def test_a_piece_that_is_cut_in_two_changes_nothing(
    pieces: list[Document], at: float
) -> None:
    whole = worked(in_a_row(pieces))
    first = pieces[0]
    if first["kind"] == "straight":
        parts = [straight(first["length_mm"] * share) for share in (at, 1 - at)]
    elif first["kind"] == "curve":
        turn = first["angle_deg"]
        shares = [share for share in (at, 1 - at) if share * turn > 1e-9]
        parts = [{**first, "angle_deg": turn * share} for share in shares]
    else:
        parts = [first, straight(0)]
    cut = worked(in_a_row([*parts, *pieces[1:]]))
    last = f"T{len(pieces) - 1}"
    end = whole.placed.spot((last, "b"))
    other = cut.placed.spot((f"T{len(parts) + len(pieces) - 2}", "b"))
    assert end is not None
    assert other is not None
    assert isclose(abs(end.point - other.point), 0, abs_tol=1e-6)


def mirrored(document: Document) -> Document:
    """A plan as a mirror shows it: the hand of every piece is the other."""
    other = {"left": "right", "right": "left"}
    pieces = {
        name: {**piece, "hand": other[piece["hand"]]} if "hand" in piece else piece
        for name, piece in document["pieces"].items()
    }
    return {**document, "pieces": pieces}


@given(plan=plans)
def test_a_mirrored_plan_mirrors(plan: Document) -> None:
    one, two = worked(plan), worked(mirrored(plan))
    assert same_figures(one, two)
    here, there = spots(one), spots(two)
    for end, point in here.items():
        assert isclose(abs(there[end] - point.conjugate()), 0, abs_tol=1e-6)


@given(pieces=st.lists(plain, min_size=2, max_size=6))
def test_a_row_that_is_placed_from_its_last_piece_is_the_same_row(
    pieces: list[Document],
) -> None:
    document = in_a_row(pieces)
    last = f"T{len(pieces) - 1}"
    placed = {"piece": last, "x_mm": 7, "y_mm": 8, "heading_deg": 33}
    one, two = worked(document), worked({**document, "placed": [placed]})
    here, there = spots(one), spots(two)
    base = f"{last}.a"
    for end in here:
        apart = abs(here[end] - here[base])
        assert isclose(abs(there[end] - there[base]), apart, abs_tol=1e-6)


@settings(max_examples=25)
@given(
    joins=st.lists(
        st.tuples(st.integers(0, 11), st.integers(0, 11)), max_size=20, unique=True
    )
)
def test_there_is_one_circuit_for_each_join_that_a_tree_does_not_need(
    joins: list[tuple[int, int]],
) -> None:
    """Euler: joins − pieces + parts, the parts counted by merging sets."""
    deck = {"kind": "turntable", "deck_mm": 100, "roads": [n * 15 for n in range(24)]}
    pieces = {f"D{number}": deck for number in range(12)}
    used = dict.fromkeys(pieces, 0)
    written = []
    for one, two in joins:
        ends = []
        for piece in (f"D{one}", f"D{two}"):
            used[piece] += 1
            ends.append(f"{piece}.r{used[piece]}")
        if max(used.values()) > 24:
            return
        written.append(ends)
    spots_for = [
        {"piece": name, "x_mm": 0, "y_mm": 0, "heading_deg": 0} for name in pieces
    ]
    found = worked({"pieces": pieces, "joins": written, "placed": spots_for})
    parts = {number: {number} for number in range(12)}
    for one, two in joins:
        merged = parts[one] | parts[two]
        parts |= dict.fromkeys(merged, merged)
    count = len({id(part) for part in parts.values()})
    assert len(found.closed.circuits) == len(joins) - 12 + count


@given(
    plan=st.sampled_from((passing_loop(), ladder(roads=3))), more=st.floats(0.1, 500)
)
def test_a_measured_plan_has_the_lengths_of_the_one_that_is_laid_out(
    plan: Document, more: float
) -> None:
    """Each piece by its tape lengths, and its fouling figures as they came out."""
    plan = {**plan, "pieces": dict(plan["pieces"])}
    plan["pieces"]["H" if "H" in plan["pieces"] else "W"] = straight(more)
    laid = worked(plan)
    measured = worked({**plan, "pieces": taped(laid)})
    assert alike(
        usable(laid).values(),
        [usable(measured)[name] for name in usable(laid)],
    )


def taped(found: Worked) -> Document:
    pieces: Document = {}
    limits = fouling(found)
    for name, shape in found.placed.shapes.items():
        lengths_mm = {one.finish: one.length_mm for one in shape.strands}
        if shape.pairs:
            pieces[name] = {"kind": "points"}
            for end, length_mm in lengths_mm.items():
                pieces[name][f"{end}_mm"] = length_mm
            for leg in ("through", "branch"):
                pieces[name][f"fouling_{leg}_mm"] = limits[name, leg]
        elif list(shape.ends) == ["a"]:
            pieces[name] = {"kind": "buffer_stop", "length_mm": lengths_mm["@end"]}
        else:
            pieces[name] = {"kind": "track", "length_mm": lengths_mm["b"]}
    return pieces


@given(spacing=st.floats(20, 80), more=st.floats(0.1, 20), turn=turns, radius=radii)
def test_a_greater_spacing_lies_farther_from_the_blades(
    spacing: float, more: float, turn: float, radius: float
) -> None:
    pieces = {"P": points(angle_deg=turn, radius_mm=radius)}
    near = worked({"pieces": pieces, "fouling_spacing_mm": spacing})
    far = worked({"pieces": pieces, "fouling_spacing_mm": spacing + more})
    for leg in ("through", "branch"):
        one, two = near.leg_mm("P", leg), far.leg_mm("P", leg)
        assert one is not None
        assert two is not None
        assert one < two


@given(piece=plain)
def test_a_shape_hangs_on_figures_alone(piece: Document) -> None:
    plan = read_plan({"pieces": {"A": piece, "B": piece}})
    shapes = placing(plan).shapes
    assert plan.pieces["A"] == plan.pieces["B"]
    assert shapes["A"] is shapes["B"]
