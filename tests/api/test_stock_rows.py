"""What becomes of the rows of a list: none at all, ten alike, numbers that lost their
noughts.
"""

import pytest

from api.asking import Caller, faults
from api.sheets import counted, imported, previewed, rows, vehicles


@pytest.mark.parametrize("which", ["all", "good"])
def test_an_import_without_a_row_is_refused(steward: Caller, which: str) -> None:
    preview = previewed(steward, "Name,Number\n")
    refused = imported(steward, preview, which)
    assert faults(refused) == {"/rows": "nothing_to_take"}
    assert "no row below the heading" in refused.text
    assert steward.read(f"/v1/stock-imports/{preview['id']}")["state"] == "preview"


def test_an_import_of_the_good_rows_is_refused_where_none_is_good(
    steward: Caller,
) -> None:
    refused = imported(steward, previewed(steward, "Name,Number\n,1\n,2\n"), "good")
    assert faults(refused) == {"/rows": "nothing_to_take"}
    assert "every row is at fault" in refused.text


def with_tank(steward: Caller, number: str = "00012", **more: str) -> str:
    """Put an engine on record; return its id."""
    made = steward.made(
        "/v1/vehicles",
        {"name": "Harbour tank", "number": number, "kind": "engine", **more},
    )
    return str(made["id"])


@pytest.mark.parametrize("key", [{}, {"external_key": "00012"}])
def test_a_number_that_lost_its_noughts_is_told_and_changes_neither_number_nor_another_vehicle(
    steward: Caller, key: dict[str, str]
) -> None:
    tank = with_tank(steward, **key)
    preview = previewed(
        steward, "Number,Name,Length over buffers (mm)\n12,Harbour tank,128.5\n"
    )
    (row,) = rows(steward, preview)
    assert (row["outcome"], row["vehicle_id"]) == ("update", tank)
    assert [change["field"] for change in row["changes"]] == [
        "length_mm",
        "length_over",
    ]
    (note,) = row["notes"]
    assert (note["code"], note["value"]) == ("lost_noughts", "12")
    assert "00012" in note["message"]
    assert imported(steward, preview).status_code == 200
    assert vehicles(steward)["Harbour tank"]["number"] == "00012"


def test_a_number_alone_is_taken_for_the_only_one_that_it_can_be(
    steward: Caller,
) -> None:
    tank = with_tank(steward)
    (row,) = rows(
        steward, previewed(steward, "Number,Length over buffers (mm)\n12,128.5\n")
    )
    assert (row["outcome"], row["vehicle_id"], row["notes"][0]["code"]) == (
        "update",
        tank,
        "lost_noughts",
    )


def test_a_number_that_got_its_noughts_back_is_kept_with_them(steward: Caller) -> None:
    tank = with_tank(steward, "12")
    preview = previewed(steward, "Number,Name\n00012,Harbour tank\n")
    (row,) = rows(steward, preview)
    assert (row["outcome"], row["vehicle_id"], row["notes"][0]["code"]) == (
        "update",
        tank,
        "lost_noughts",
    )
    assert imported(steward, preview).status_code == 200
    assert vehicles(steward)["Harbour tank"]["number"] == "00012"


def test_a_list_that_went_out_and_lost_its_noughts_in_a_spreadsheet_changes_no_number(
    steward: Caller,
) -> None:
    tank = with_tank(steward)
    (row,) = rows(
        steward, previewed(steward, f"Record id,Name,Number\n{tank},Harbour tank,12\n")
    )
    assert (row["outcome"], row["notes"][0]["code"]) == ("unchanged", "lost_noughts")


def test_another_vehicle_whose_number_differs_by_noughts_is_made_and_the_likeness_told(
    steward: Caller,
) -> None:
    with_tank(steward)
    preview = previewed(steward, "Number,Name\n12,Ore wagon\n")
    (row,) = rows(steward, preview)
    assert (row["outcome"], row["notes"][0]["code"]) == ("create", "lost_noughts")
    assert "Harbour tank" in row["notes"][0]["message"]


def test_a_number_of_one_vehicle_with_the_name_of_another_is_a_fault(
    steward: Caller,
) -> None:
    with_tank(steward)
    steward.made("/v1/vehicles", {"name": "Ore wagon", "number": "12"})
    text = "Number,Name\n12,Harbour tank\n"
    (row,) = rows(steward, previewed(steward, text))
    assert [fault["code"] for fault in row["faults"]] == ["lost_noughts"]
    assert "00012" in row["faults"][0]["mend"]
    (right,) = rows(
        steward, previewed(steward, text.replace("Harbour tank", "Ore wagon"))
    )
    assert right["outcome"] == "unchanged"


def test_a_number_that_became_a_power_of_ten_is_a_fault(steward: Caller) -> None:
    (row,) = rows(steward, previewed(steward, "Number,Name\n3.35055E+11,Tank wagon\n"))
    assert [fault["code"] for fault in row["faults"]] == ["is_a_power_of_ten"]


def test_what_ten_rows_share_is_told_once_for_the_file(steward: Caller) -> None:
    lines = "".join(f"Van {number},{number},grapple,?\n" for number in range(10))
    preview = previewed(steward, "Name,Number,Coupling,Weight\n" + lines)
    assert counted(preview) == {"create": 10}
    assert preview["counts"]["with_notes"] == 10
    told = {one["code"]: one for one in preview["alike"]}
    assert set(told) == {"unknown_coupling", "understood"}
    assert (told["unknown_coupling"]["rows"], told["unknown_coupling"]["values"]) == (
        10,
        ["grapple"],
    )
    assert told["understood"]["first_rows"] == list(range(2, 12))
    assert [row for row in rows(steward, preview) if "notes" in row] == []


def test_a_slip_of_unit_in_a_whole_column_is_told_once_and_in_a_single_row_there(
    steward: Caller,
) -> None:
    head = "Name,Kind,Scale,Width (mm)\n"
    wrong = "".join(f"Van {number},wagon,00,3.{number}\n" for number in range(6))
    right = "".join(f"Van {number},wagon,00,34\n" for number in range(6, 20))
    whole = previewed(steward, head + wrong)
    assert [(one["code"], one["rows"]) for one in whole["alike"]] == [("unit", 6)]
    assert [row for row in rows(steward, whole) if "notes" in row] == []
    some = previewed(steward, head + wrong + right)
    assert "alike" not in some
    assert len([row for row in rows(steward, some) if "notes" in row]) == 6


def test_faults_that_rows_share_are_told_once_and_stay_on_their_rows(
    steward: Caller,
) -> None:
    lines = "".join(
        f"Van {number},{kind}\n"
        for number, kind in enumerate(["wagon"] * 4 + ["Lot 1", "Lot 2", "Lot 2"])
    )
    preview = previewed(steward, "Name,Type\n" + lines)
    (told,) = preview["alike"]
    assert (told["what"], told["code"], told["rows"], told["values"]) == (
        "fault",
        "not_a_choice",
        3,
        ["Lot 1", "Lot 2"],
    )
    assert counted(preview) == {"create": 4, "fault": 3}
    assert len([row for row in rows(steward, preview) if "faults" in row]) == 3


@pytest.mark.parametrize("head", ["Gauge", "Scale/Gauge"])
def test_a_gauge_of_names_is_the_scale_and_puts_no_row_at_fault(
    steward: Caller, head: str
) -> None:
    preview = previewed(
        steward,
        f"Name,{head},Class /"
        " type\nTank,OO,loco\nUnit,00,DMU\nCar,HO,Caboose\nSet,N,EMU\n",
    )
    assert counted(preview) == {"create": 4}
    assert imported(steward, preview).status_code == 200
    made = vehicles(steward)
    assert {name: (one["scale"], one["kind"]) for name, one in made.items()} == {
        "Tank": ("OO", "engine"),
        "Unit": ("00", "multiple_unit_car"),
        "Car": ("HO", "brake_van"),
        "Set": ("N", "multiple_unit_car"),
    }


def test_figures_under_gauge_are_mm_and_names_beside_a_scale_are_their_gauge(
    steward: Caller,
) -> None:
    text = "Name,Scale,Gauge\nTank,4 mm,EM\nVan,1:76,OO\nCart,1/76,9\n"
    preview = previewed(steward, text)
    assert counted(preview) == {"create": 3}
    assert imported(steward, preview).status_code == 200
    # EM is laid to 18.2 mm, 00 to 16.5 mm.
    assert {name: one["gauge_mm"] for name, one in vehicles(steward).items()} == {
        "Tank": 18.2,
        "Van": 16.5,
        "Cart": 9,
    }


def test_a_column_in_inches_says_so_once_and_is_taken_so(steward: Caller) -> None:
    preview = previewed(
        steward, "Name,Scale,Length\nVan,00,3 1/4\nTank,00,4\nCoach,00,9.5\n"
    )
    assert [
        one["message"] for one in preview["assumed"] if one["field"] == "length_mm"
    ] == [
        (
            "column C (Length) has its bare figures taken in inches, since in mm they make"
            " no sense"
        )
    ]
    assert imported(steward, preview).status_code == 200
    assert {name: one["length_mm"] for name, one in vehicles(steward).items()} == {
        "Van": 82.55,
        "Tank": 101.6,
        "Coach": 241.3,
    }


def test_titles_of_sections_totals_and_headings_said_again_are_no_vehicles(
    steward: Caller,
) -> None:
    head = "Name,Number,Type,Length (mm)\n"
    text = (
        f"{head}ENGINES,,,\nPug,1,loco,100\nTotal engines,,,1\n{head}WAGONS,,,\nOre"
        " wagon,2,wagon,80\nTar wagon,3,wagon,80\nTotal: 3 vehicles,,,\nPrinted 3"
        " May,,,\n"
    )
    preview = previewed(steward, text)
    assert counted(preview) == {"create": 3, "fault": 6}
    assert [
        row["faults"][0]["code"] for row in rows(steward, preview) if "faults" in row
    ] == [*("title", "totals", "heading_again", "title", "totals", "title")]
    assert all(
        len(row["faults"]) == 1 for row in rows(steward, preview) if "faults" in row
    )


def test_names_alone_are_vehicles_in_a_list_of_names(steward: Caller) -> None:
    text = (
        "Name,Number,Type,Length (mm)\nOre wagon,2,wagon,80\nOld van,,,\nNew van,,,\n"
    )
    assert counted(previewed(steward, text)) == {"create": 3}
    assert counted(
        previewed(steward, "Name,Number\nTotal wagon,1\nVan,2\nOld van,\n")
    ) == {"create": 3}


def test_units_in_a_row_below_the_headings_are_the_columns_units(
    steward: Caller,
) -> None:
    preview = previewed(
        steward, "Name,No.,Length,Weight\n,,(in),oz\nOre wagon,1,3.5,1\n"
    )
    assert counted(preview) == {"create": 1}
    assert imported(steward, preview).status_code == 200
    ore = vehicles(steward)["Ore wagon"]
    # 3.5 in of 25.4 mm; an ounce of 28.349523125 g.
    assert (ore["length_mm"], ore["mass_g"]) == (88.9, pytest.approx(28.35, abs=0.001))


def test_where_no_column_holds_names_a_vehicle_is_called_by_its_kind_and_number(
    steward: Caller,
) -> None:
    text = "Road #,Car type,Coupled length (in)\n12345,50' boxcar,6.5\n501,Caboose,5\n"
    preview = previewed(steward, text)
    assert counted(preview) == {"create": 2}
    assert "name" in {one["field"] for one in preview["assumed"]}
    assert imported(steward, preview).status_code == 200
    box = vehicles(steward)["50' boxcar 12345"]
    assert (box["kind"], box["number"], box["length_over"]) == (
        "wagon",
        "12345",
        "couplings",
    )
    path = f"/v1/vehicles/{box['id']}"
    assert (
        steward.ask("PATCH", path, {"name": "Big box"}, if_match="*").status_code == 200
    )
    assert counted(previewed(steward, text)) == {"unchanged": 2}


def test_a_row_of_figures_is_no_heading_though_a_word_in_it_could_head_a_column(
    steward: Caller,
) -> None:
    preview = previewed(steward, "Ore wagon,1,wagon,88\nTar wagon,2,wagon,90\n")
    assert preview["mapping"]["header_row"] == 0
    assert preview["file"]["rows"] == 2


def test_a_point_before_three_figures_is_a_fault_where_commas_stand_before_the_tenths(
    steward: Caller,
) -> None:
    text = (
        "Name;Length (mm);Weight"
        " (g);Bought\nA;275,4;1.512,5;3.5.2019\nB;1.234;120,0;1.1.2020\n"
    )
    preview = previewed(steward, text)
    assert preview["mapping"]["decimal"] == "comma"
    first, second = rows(steward, preview)
    assert first["outcome"] == "create"
    assert [fault["code"] for fault in second["faults"]] == ["ambiguous"]
    assert imported(steward, preview, "good").status_code == 200
    assert vehicles(steward)["A"]["mass_g"] == 1512.5


def test_a_total_length_is_not_taken_where_the_length_of_each_stands_beside_it(
    steward: Caller,
) -> None:
    preview = previewed(
        steward, "Type,Quantity,Total length,Length each\nCoal wagon,12,936,78\n"
    )
    assert imported(steward, preview).status_code == 200
    coal = vehicles(steward)["Coal wagon"]
    assert (coal["count"], coal["length_mm"]) == (12, 78)


def test_a_key_of_another_name_on_record_is_told(steward: Caller) -> None:
    steward.made("/v1/vehicles", {"name": "Ore wagon", "external_key": "3"})
    (row,) = rows(steward, previewed(steward, "Stock no.,Name\n3,Salt van\n"))
    assert (row["outcome"], row["notes"][0]["code"]) == ("update", "named_otherwise")
    assert "3 is Ore wagon on record" in row["notes"][0]["message"]


def test_the_club_s_scale_is_not_taken_for_granted_on_another_gauge(
    steward: Caller,
) -> None:
    path = "/v1/club"
    assert steward.ask("PATCH", path, {"scale": "00"}, if_match="*").status_code == 200
    text = (
        "Name,Gauge\nTank,16.5\nFine van,18.83\nGreat van,32\nGreat tank,32\nGreat"
        " coach,32\nSmall van,9\n"
    )
    preview = previewed(steward, text)
    (told,) = preview["alike"]
    assert (told["code"], told["rows"], told["values"]) == ("another_gauge", 3, ["32"])
    assert imported(steward, preview).status_code == 200
    assert {name: one.get("scale") for name, one in vehicles(steward).items()} == {
        **dict.fromkeys(("Tank", "Fine van"), "00"),
        **dict.fromkeys(("Great van", "Great tank", "Great coach", "Small van"), None),
    }


def test_spaces_around_a_text_are_not_kept_and_change_nothing(steward: Caller) -> None:
    assert (
        imported(
            steward, previewed(steward, "Name , Number\n Ore wagon , 47 \n")
        ).status_code
        == 200
    )
    assert vehicles(steward)["Ore wagon"]["number"] == "47"
    steward.made("/v1/vehicles", {"name": "Tar wagon ", "number": "48"})
    assert counted(previewed(steward, "Name,Number\nTar wagon,48\n")) == {
        "unchanged": 1
    }


def test_a_second_list_below_other_headings_is_not_read_by_the_first_ones(
    steward: Caller,
) -> None:
    text = (
        "Name,No,Length\nPug,1,100\n,,\nName,No,Load,Length\nOre,2,10,80\nTar,3,10,80\n"
    )
    preview = previewed(steward, text)
    assert counted(preview) == {"create": 1, "fault": 3}
    assert [row["faults"][0]["code"] for row in rows(steward, preview)[1:]] == [
        "other_headings"
    ] * 3
    wagons = "Name,Type,Length\nCoach,Coach,268\nWagon,Wagon,\nVan,Brake van,\n"
    assert counted(previewed(steward, wagons)) == {"create": 3}


def test_a_name_that_is_too_long_is_one_fault(steward: Caller) -> None:
    (row,) = rows(steward, previewed(steward, f"Name,Length\n{'x' * 300},80\n"))
    assert [fault["header"] for fault in row["faults"]] == ["Name"]


def test_years_among_the_headings_leave_them_headings(steward: Caller) -> None:
    preview = previewed(steward, "Name,2019,2020,Length mm\nOre wagon,x,x,80\n")
    assert (preview["mapping"].get("header_row", 1), counted(preview)) == (
        1,
        {"create": 1},
    )


def test_of_a_length_in_scale_feet_and_one_in_mm_the_measured_one_is_taken(
    steward: Caller,
) -> None:
    preview = previewed(
        steward, "Name,Scale,Length (scale feet),Length (actual mm)\nBox,HO,40,151\n"
    )
    assert imported(steward, preview).status_code == 200
    assert vehicles(steward)["Box"]["length_mm"] == 151
