"""Sheets of track that a newcomer begins with: a plan that is laid out, and one that is
measured beside the board with a tape. Both are plans as they are.
"""

from collections.abc import Mapping, Sequence

from standage.exchange.fields import UNITS, Field
from standage.exchange.plans.fields import END_FIELDS, FIELDS, KINDS
from standage.exchange.sheets_out import Out

Row = Mapping[str, Out]
_LAID_OUT = (
    *("piece", "kind", "hand", "length_mm", "radius_mm", "angle_deg", "lead_in_mm"),
    *("through_after_blades_mm", "branch_straight_mm", "fitted"),
    *("end_1", "end_2", "end_3", "place", "place_kind"),
)
_MEASURED = (
    *("piece", "kind", "length_mm", "toe_mm", "through_mm", "branch_mm"),
    *("fouling_through_mm", "fouling_branch_mm"),
    *("end_1", "end_2", "end_3", "place", "place_kind"),
)
_POINTS: Row = {
    "kind": "points",
    "radius_mm": 610,
    "angle_deg": 12,
    "lead_in_mm": 30,
    "through_after_blades_mm": 180,
    "branch_straight_mm": 95,
}
_TAPED: Row = {
    "kind": "points",
    "toe_mm": 35,
    "through_mm": 190,
    "branch_mm": 205,
    "fouling_through_mm": 260,
    "fouling_branch_mm": 250,
}
_LOOP: tuple[Row, ...] = (
    {"piece": "B1", "kind": "buffer stop", "end_1": "H"},
    {
        "piece": "H",
        "kind": "straight",
        "length_mm": 600,
        "end_1": "B1",
        "end_2": "P1.toe",
        "place": "Headshunt",
        "place_kind": "headshunt",
    },
    {**_POINTS, "piece": "P1", "hand": "left", "end_1": "H.b", "end_2": "M.a"}
    | {"end_3": "C1.a"},
    {
        "piece": "M",
        "kind": "straight",
        "length_mm": 1000,
        "end_1": "P1.through",
        "end_2": "P2.through",
        "place": "Main road",
        "place_kind": "loop",
    },
    {
        "piece": "C1",
        "kind": "curve",
        "hand": "right",
        "radius_mm": 610,
        "angle_deg": 12,
        "end_1": "P1.branch",
        "end_2": "L.a",
    },
    {
        "piece": "L",
        "kind": "flexible",
        "fitted": "yes",
        "end_1": "C1.b",
        "end_2": "C2.b",
        "place": "Loop road",
        "place_kind": "loop",
    },
    {
        "piece": "C2",
        "kind": "curve",
        "hand": "left",
        "radius_mm": 610,
        "angle_deg": 12,
        "end_1": "P2.branch",
        "end_2": "L.b",
    },
    {**_POINTS, "piece": "P2", "hand": "right", "end_1": "E.a", "end_2": "M.b"}
    | {"end_3": "C2.a"},
    {
        "piece": "E",
        "kind": "straight",
        "length_mm": 300,
        "end_1": "P2.toe",
        "end_2": "X",
    },
    {"piece": "X", "kind": "open end", "end_1": "E"},
)
_STATION: tuple[Row, ...] = (
    {"piece": "B1", "kind": "buffer stop", "end_1": "H"},
    {
        "piece": "H",
        "kind": "track",
        "length_mm": 780,
        "end_1": "B1",
        "end_2": "P1.toe",
        "place": "Headshunt",
        "place_kind": "headshunt",
    },
    {**_TAPED, "piece": "P1", "end_1": "H", "end_2": "M", "end_3": "S"},
    {
        "piece": "M",
        "kind": "track",
        "length_mm": 1200,
        "end_1": "P1.through",
        "end_2": "P2.through",
        "place": "Platform road",
        "place_kind": "platform",
    },
    {
        "piece": "S",
        "kind": "track",
        "length_mm": 900,
        "end_1": "P1.branch",
        "end_2": "B2",
        "place": "Coal siding",
        "place_kind": "siding",
    },
    {"piece": "B2", "kind": "buffer stop", "end_1": "S"},
    {**_TAPED, "piece": "P2", "end_1": "E", "end_2": "M", "end_3": "T"},
    {
        "piece": "T",
        "kind": "track",
        "length_mm": 640,
        "end_1": "P2.branch",
        "end_2": "B3",
        "place": "Dock siding",
        "place_kind": "siding",
    },
    {"piece": "B3", "kind": "buffer stop", "end_1": "T"},
    {"piece": "E", "kind": "track", "length_mm": 400, "end_1": "P2.toe"},
)


def laid_out() -> list[list[Out]]:
    """Return ten rows that are a plan: a passing loop with its headshunt."""
    return _sheet(_LAID_OUT, _LOOP)


def measured() -> list[list[Out]]:
    """Return ten rows as somebody with a tape fills them in: no angle anywhere."""
    return _sheet(_MEASURED, _STATION)


def _sheet(columns: Sequence[str], rows: Sequence[Row]) -> list[list[Out]]:
    titles: list[Out] = [FIELDS.by_name[name].title for name in columns]
    lines = [[row.get(name) for name in columns] for row in rows]
    return [titles, *lines]


def beside() -> dict[str, list[list[Out]]]:
    """Return the sheets beside a template: the measured one, and what may stand in each
    column.
    """
    lines: list[list[Out]] = [
        [field.title, _of_kinds(field), _may_hold(field)] for field in FIELDS.every
    ]
    return {
        "Measured": measured(),
        "Remarks": [["Column", "Of which pieces", "What it may hold"], *lines],
    }


def _of_kinds(field: Field) -> str:
    kinds = [
        name.replace("_", " ")
        for name, kind in KINDS.items()
        if field.path and field.name in kind.__struct_fields__
    ]
    return ", ".join(kinds)


def _may_hold(field: Field) -> str:
    if field.words:
        choices = [choice.replace("_", " ") for choice in field.words.values()]
        return "one of: " + ", ".join(dict.fromkeys(choices))
    if field.sort in {"track_length", "radius"}:
        return "a figure in mm, or with its unit: 24 in, 61 cm, 1.2 m"
    if field.sort in UNITS:
        return "figures in mm with semicolons between them"
    if field.sort == "degrees":
        return "a figure"
    if field.name in END_FIELDS:
        return "what this end joins, such as P1.toe; the piece alone if it has one end"
    return "text"
