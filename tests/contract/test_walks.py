"""A test that walks many values fails as a test for each would, and says where."""

import pytest

from support.walks import at_each


@pytest.fixture
def nine() -> int:
    return 9


@at_each("name, number", [("a", 1), ("b", 2), ("c", 3)])
def test_each_value_is_given_beside_the_fixtures(
    nine: int, name: str, number: int
) -> None:
    assert ord(name) - ord("a") + 1 == number < nine


def test_all_that_fail_are_told_with_their_values() -> None:
    @at_each("number", lambda: range(6))
    def even(number: int) -> None:
        if number == 5:
            pytest.fail("five")
        assert number % 2 == 0

    with pytest.raises(BaseExceptionGroup, match="at 3 of 6") as told:
        even()
    notes = [failure.__notes__ for failure in told.value.exceptions]
    assert notes == [["at number = 1"], ["at number = 3"], ["at number = 5"]]


def test_where_there_is_nothing_to_look_at_it_fails() -> None:
    @at_each("number", [])
    def never(number: int) -> None:
        raise ValueError(number)

    with pytest.raises(AssertionError, match="nothing to look at"):
        never()
