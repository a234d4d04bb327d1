"""An address is found as its template says.

The oracle is one pattern for each template, tried in turn, those without parameters
first.
"""

import re

from hypothesis import given
from hypothesis import strategies as st

from standage.api.web.outermost_layer import Addresses, Way
from standage.app import operations

ROUTES = sorted({one.path for one in operations()})
WAYS = {route: {"GET": Way(route, 1)} for route in ROUTES}
ADDRESSES = Addresses(WAYS)
PARAMETER = re.compile(r"\{(\w+)\}")
PARTS = sorted({part for route in ROUTES for part in route.split("/")})
SEGMENTS = st.sampled_from(PARTS) | st.text(
    st.characters(exclude_characters="/"), max_size=4
)


def as_patterns_say(path: str) -> tuple[str, dict[str, str]] | None:
    for route in sorted(ROUTES, key=lambda one: "{" in one):
        pattern = PARAMETER.sub(r"(?P<\1>[^/]+)", route)
        match = re.fullmatch(pattern, path)
        if match is not None:
            return route, match.groupdict()
    return None


def as_found(path: str) -> tuple[str, dict[str, str]] | None:
    found = ADDRESSES.find(path)
    if found is None:
        return None
    return found.address.route, dict(found.parameters)


@given(st.lists(SEGMENTS, max_size=8))
def test_any_path_is_the_address_that_its_pattern_says(segments: list[str]) -> None:
    path = "/".join(["", *segments])
    assert as_found(path) == as_patterns_say(path)


@given(st.sampled_from(ROUTES), st.data())
def test_every_address_is_found_with_what_stands_in_it(
    route: str, data: st.DataObject
) -> None:
    names = PARAMETER.findall(route)
    values = {name: data.draw(SEGMENTS.filter(bool)) for name in names}
    path = route.format(**values)
    assert as_found(path) == as_patterns_say(path)
    assert as_found(path) is not None
