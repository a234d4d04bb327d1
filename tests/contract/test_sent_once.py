"""A short run sends each field each sort of value, at one operation."""

from contract.sent_once import Once, Told

VALUE = Told("negative", "body", "json", "value_too_large", "train -> length_mm: Wrong")
FIRST = VALUE._replace(description="kind: Wrong")


def after_the_first(*operations: str) -> Once:
    once = Once()
    for operation_id in operations:
        assert once.is_new(operation_id, FIRST)
    return once


def test_a_field_that_another_operation_has_too_is_sent_a_sort_of_value_once() -> None:
    once = after_the_first("one", "two")
    deeper = VALUE._replace(
        description="trains -> Array with invalid items: train -> length_mm: Wrong"
    )
    assert once.is_new("one", VALUE)
    assert not once.is_new("two", VALUE)
    assert not once.is_new("two", deeper)


def test_one_of_the_wrong_types_comes_to_a_place_and_another_to_another() -> None:
    wrong = VALUE._replace(scenario="incorrect_type")
    places = [wrong._replace(description=f"{name}: Wrong") for name in "abcdefghijkl"]
    sent = []
    for place in places:
        once = Once()
        sent.append([once.is_new("one", place) for _ in range(4)])
    assert [row.count(True) for row in sent] == [1] * len(places)
    assert {row.index(True) for row in sent} == {0, 1, 2}


def test_one_of_the_values_of_another_sort_comes_to_a_place() -> None:
    once = after_the_first("one")
    least = VALUE._replace(scenario="value_below_minimum")
    assert [once.is_new("one", least) for _ in range(3)] == [True, False, False]


def test_another_field_or_holder_or_sort_or_mode_is_sent_too() -> None:
    once = after_the_first("one", "two")
    assert once.is_new("one", VALUE)
    for other in (
        VALUE._replace(description="train -> width_mm: Wrong"),
        VALUE._replace(description="bodies -> length_mm: Wrong"),
        VALUE._replace(description="train -> length_mm: Too large"),
        VALUE._replace(scenario="value_above_maximum"),
        VALUE._replace(mode="positive"),
        VALUE._replace(part="query", parameter="length_mm"),
    ):
        assert once.is_new("two", other), other


def test_an_object_with_that_one_field_is_called_by_it() -> None:
    once = after_the_first("one", "two")
    valid = VALUE._replace(
        description="Object with valid 'train' value: Object with valid 'length_mm'"
        " value: Least"
    )
    assert once.is_new("one", valid)
    assert not once.is_new(
        "two", valid._replace(description="train -> length_mm: Least")
    )


def test_every_operation_is_sent_its_first_that_is_right_and_its_first_that_is_wrong() -> (
    None
):
    once = Once()
    for operation_id in ("one", "two"):
        for mode in ("positive", "negative"):
            assert once.is_new(operation_id, VALUE._replace(mode=mode))


def test_what_is_of_no_one_part_of_a_request_is_always_sent() -> None:
    once = Once()
    trial = Told("negative", "", "", "unspecified_http_method", "Unspecified: TRACE")
    assert once.is_new("one", trial)
    assert once.is_new("two", trial)
