"""Full-size vehicles and curves whose figures were published, to be scaled down and
spoiled.
"""

import msgspec

from standage.railway.stock.vehicles import VehicleKind

FOOT_M = 0.3048
INCH_M = 0.0254


class FullSize(msgspec.Struct, frozen=True, kw_only=True):
    """A full-size vehicle, in metres; ``source`` says where its figures stand."""

    name: str
    kind: VehicleKind
    length_m: float
    source: str
    figures_m: dict[str, float] = {}


FULL_SIZE = (
    FullSize(
        name="European standard coach, type Z",
        kind="coach",
        length_m=26.4,
        figures_m={
            "bogie_centres_mm": 19.0,
            "bogie_wheelbase_mm": 2.56,
            "width_mm": 2.825,
            "height_mm": 4.05,
        },
        source="UIC type Z, published data",
    ),
    FullSize(
        name="open bogie wagon",
        kind="wagon",
        length_m=14.04,
        figures_m={"bogie_centres_mm": 9.0, "bogie_wheelbase_mm": 1.8},
        source="UIC 571-2",
    ),
    FullSize(
        name="short two-axle open wagon",
        kind="wagon",
        length_m=9.04,
        figures_m={"rigid_wheelbase_mm": 4.85},
        source="UIC 571-1",
    ),
    FullSize(
        name="two-axle open wagon",
        kind="wagon",
        length_m=10.0,
        figures_m={"rigid_wheelbase_mm": 5.4},
        source="UIC 571-1",
    ),
    FullSize(
        name="British gangwayed coach",
        kind="coach",
        length_m=64.5 * FOOT_M,
        figures_m={"bogie_centres_mm": 46.5 * FOOT_M},
        source="British standard coach of 1951, body",
    ),
    FullSize(
        name="British 10 ft wheelbase wagon",
        kind="wagon",
        length_m=17.5 * FOOT_M,
        figures_m={"rigid_wheelbase_mm": 10 * FOOT_M},
        source="over headstocks, common practice",
    ),
    FullSize(
        name="40 ft box car",
        kind="wagon",
        length_m=44 * FOOT_M + 2.5 * INCH_M,
        source="44 ft 2½ in over pulling faces",
    ),
    FullSize(
        name="85 ft passenger car",
        kind="coach",
        length_m=85 * FOOT_M,
        figures_m={"bogie_centres_mm": 59.5 * FOOT_M},
        source="common practice",
    ),
)
