"""Trains and places of a table that are called alike."""

from questions.test_fits import asked, best, road


def test_trains_and_places_of_one_name_are_told_apart_by_their_number() -> None:
    twice = (("Coal", 400), ("Mail", 600), ("Coal", 700))
    trains = [{"name": name, "length_mm": mm} for name, mm in twice]
    places = [road("Bay", 450), road("Loop", 460), road("Bay", 650)]
    answer = asked(trains, places)
    assert best(answer) == {
        "Coal (train 1)": "Bay (place 1)",
        "Mail": "Bay (place 3)",
        "Coal (train 3)": None,
    }
    assert answer.because[0].message == "Coal (train 3) has no place here"
    assert "50 mm too long for Bay (place 3)" in answer.because[1].message
