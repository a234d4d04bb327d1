"""How high stock is by the loading gauges of the UIC."""

from standage.railway.published.full_size import FullSize
from standage.railway.published.tables import Found, Standard
from standage.railway.terms.scales import ScaleName

UIC = FullSize(Standard(name="UIC"), "continental")
_HEIGHTS_M = (("G1", 4.28), ("GC", 4.65))


def loading_heights(name: ScaleName) -> tuple[Found, ...]:
    """Return how high stock of the gauges G1 and GC is in a scale, in mm. **Source**
    UIC: 4.28 and 4.65 m.

    >>> [round(one.value_mm, 1) for one in loading_heights("H0")]
    [49.2, 53.4]
    """
    return tuple(
        UIC.found(name, full_m=full_m, words=f"stock to {gauge}, {full_m:.2f} m high")
        for gauge, full_m in _HEIGHTS_M
    )
