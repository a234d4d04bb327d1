"""How the demo club types in its stock: couplings, and the figures that vehicles of one
sort share.
"""

from typing import Any

Json = dict[str, Any]
Row = tuple[str, str, float, float, float, int]
"""A key, a name, a length over buffers, a wheelbase or the bogies' centres, a mass, and
how many there are.
"""

HOOK: Json = {"type": "small hook-and-bar"}
CLUB_HOOK: Json = {"type": "club hook"}
COACH_HOOK: Json = {"type": "coach hook"}
THREE_LINK: Json = {"type": "three-link"}
N_HOOK: Json = {"type": "N hook"}
LOOP: Json = {"type": "loop"}
KNUCKLE: Json = {"type": "knuckle"}


def vehicle(row: Row, *, kind: str, scale: str, coupling: Json, **figures: Any) -> Json:
    """Return a vehicle as a member types it in, measured over its buffers."""
    _, name, length_mm, _, mass_g, count = row
    ends = {"front_coupling": coupling, "rear_coupling": coupling}
    measured = {
        "length_mm": length_mm,
        "length_over": "buffers",
        "length_from": "measured",
        "mass_g": mass_g,
    }
    return (
        {"name": name, "kind": kind, "scale": scale, "count": count}
        | measured
        | ends
        | figures
    )


def wagons(
    rows: list[Row], *, scale: str, coupling: Json, width_mm: float, kind: str = "wagon"
) -> dict[str, Json]:
    """Return two-axle wagons of one sort of coupling, by their keys."""
    return {
        row[0]: vehicle(
            row,
            kind=kind,
            scale=scale,
            coupling=coupling,
            width_mm=width_mm,
            rigid_wheelbase_mm=row[3],
        )
        for row in rows
    }


def coaches(
    rows: list[Row],
    *,
    scale: str,
    coupling: Json,
    width_mm: float,
    least_mm: float,
    **figures: Any,
) -> dict[str, Json]:
    """Return bogie vehicles with the radius that their maker states, by their keys."""
    bogie_mm = {"00": 34.0, "N British": 17.0, "H0": 29.0}[scale]
    return {
        row[0]: vehicle(
            row,
            kind="coach",
            scale=scale,
            coupling=coupling,
            width_mm=width_mm,
            bogie_centres_mm=row[3],
            bogie_wheelbase_mm=bogie_mm,
            minimum_radius_mm=least_mm,
            **figures,
        )
        for row in rows
    }
