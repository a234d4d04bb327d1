"""Lists as members keep them: nothing of their rows is lost or changed without a
word.
"""

import io
from typing import Any

import pytest
import xlsxwriter

from api.asking import Caller
from api.sheets import counted, imported, previewed, rows, vehicles

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Codes = list[list[str]]


def codes(found: list[dict[str, Any]]) -> Codes:
    return [[fault["code"] for fault in row.get("faults", ())] for row in found]


def notes(row: dict[str, Any]) -> str:
    return "; ".join(note["message"] for note in row.get("notes", ()))


def book(write: Any) -> bytes:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as workbook:
        write(workbook, workbook.add_worksheet("Stock"))
    return made.getvalue()


@pytest.mark.parametrize(
    "label", ["Total", "TOTALS", "Grand total:", "Sub-total", "Sum", "In all"]
)
def test_a_line_of_totals_is_no_vehicle(steward: Caller, label: str) -> None:
    preview = previewed(steward, f"Name,Count,Length (mm)\nVan,2,82\n{label},2,164\n")
    assert counted(preview) == {"create": 1, "fault": 1}
    assert codes(rows(steward, preview)) == [[], ["totals"]]


def test_a_wagon_may_be_called_after_a_total(steward: Caller) -> None:
    assert counted(
        previewed(steward, "Name,Number\nTotal Mining wagon,3\nTotal,4\n")
    ) == {"create": 1, "fault": 1}


def test_of_two_lengths_none_is_lost_without_a_word(steward: Caller) -> None:
    text = (
        "Name,Length over buffers (mm),Length over couplings"
        " (mm)\nVan,82,90\nTruck,82,82\nTank,,90\n"
    )
    preview = previewed(steward, text)
    assert counted(preview) == {"create": 2, "fault": 1}
    (fault,), *_ = [row.get("faults", ()) for row in rows(steward, preview)]
    assert (fault["code"], fault["letters"], fault["value"]) == (
        "contradiction",
        "C",
        "90",
    )
    assert "column B, which has “82”" in fault["message"]
    assert "leave one of the two columns out" in fault["mend"]


def test_what_nobody_knows_takes_nothing_and_is_noted(steward: Caller) -> None:
    imported(steward, previewed(steward, "Name,Number,Weight\nVan,5,42\n"))
    preview = previewed(
        steward, "Name,Number,Weight,Width\nVan,5,?,n/a\nCart,-,-,30\nTruck,-,tbc,31\n"
    )
    assert counted(preview) == {"unchanged": 1, "create": 2}
    van, cart, _ = rows(steward, preview)
    assert "nobody knows" in notes(van)
    assert cart["key"] == "Cart", "a dash is nobody's number to be found again by"


def test_a_cell_joined_with_those_below_holds_for_all_of_them(steward: Caller) -> None:
    member = steward.with_member("member", "Hazel Marsh")

    def write(workbook: Any, page: Any) -> None:
        page.merge_range("A1:C1", "Our stock")
        page.write_row("A2", ["Name", "Owner", "Length (mm)"])
        for row, name in enumerate(["Van", "Cart", "Truck"], start=2):
            page.write(row, 0, name)
            page.write(row, 2, 80 + row)
        page.merge_range("B3:B4", "Hazel Marsh", workbook.add_format())
        page.write("C5", "banana")

    preview = previewed(steward, book(write), XLSX)
    van, cart, truck = rows(steward, preview)
    assert "joined with the cell above" in notes(cart)
    assert notes(van) == ""
    assert codes([truck]) == [["not_a_length"]]
    assert imported(steward, preview, "good").status_code == 200
    assert {
        name: one["owner_id"] == member.member_id
        for name, one in vehicles(steward).items()
    } == {
        "Van": True,
        "Cart": True,
    }


def test_a_rejected_row_keeps_what_a_joined_cell_said_of_it(steward: Caller) -> None:
    steward.with_member("member", "Hazel Marsh")

    def write(workbook: Any, page: Any) -> None:
        page.write_row("A1", ["Name", "Owner", "Length (mm)"])
        page.write_row("A2", ["Van", "", 82])
        page.write_row("A3", ["Cart", "", "banana"])
        page.merge_range("B2:B3", "Hazel Marsh", workbook.add_format())

    preview = previewed(steward, book(write), XLSX)
    rejected = steward.ask(
        "GET", f"/v1/stock-imports/{preview['id']}/rejected-rows"
    ).content.decode("utf-8-sig")
    assert rejected.splitlines()[1].startswith("Cart,Hazel Marsh,banana,")


def test_a_number_is_what_the_spreadsheet_shows_of_it(steward: Caller) -> None:
    """Noughts before a number, a unit or a percent sign behind it stand in the cell's
    format, not in its value.
    """

    def write(workbook: Any, page: Any) -> None:
        page.write_row("A1", ["Name", "Number", "Length", "Weight"])
        for row, name in enumerate(["Van", "Cart", "Truck"], start=1):
            page.write(row, 0, name)
        page.write("B2", 47, workbook.add_format({"num_format": "0000"}))
        page.write("C2", 4.5, workbook.add_format({"num_format": '0.0" in"'}))
        page.write("D2", 1.5, workbook.add_format({"num_format": '#,##0.0\\ "oz"'}))
        page.write("B3", 48, workbook.add_format({"num_format": "0"}))
        page.write("C3", 82.55, workbook.add_format({"num_format": "0.0"}))
        page.write("D4", 0.5, workbook.add_format({"num_format": "0%"}))

    preview = previewed(steward, book(write), XLSX)
    assert codes(rows(steward, preview)) == [[], [], ["not_a_number"]]
    assert rows(steward, preview)[2]["faults"][0]["value"] == "50%"
    assert imported(steward, preview, "good").status_code == 200
    van, cart = vehicles(steward)["Van"], vehicles(steward)["Cart"]
    # 4.5 in of 25.4 mm; 1.5 oz of 28.349523125 g.
    assert (van["number"], van["length_mm"], van["mass_g"]) == (
        "0047",
        114.3,
        pytest.approx(42.524, abs=1e-3),
    )
    assert (cart["number"], cart["length_mm"]) == ("48", 82.55)


def test_the_value_seen_of_a_formula_and_of_an_error_is_told(steward: Caller) -> None:
    def write(_workbook: Any, page: Any) -> None:
        page.write_row("A1", ["Name", "Length", "Weight"])
        page.write("A2", "Van")
        page.write_formula("B2", "=3*27", None, 81)
        page.write_formula("C2", "=1/0", None, "#DIV/0!")

    (row,) = rows(steward, previewed(steward, book(write), XLSX))
    assert [(fault["code"], fault["value"]) for fault in row["faults"]] == [
        ("is_a_formula", "81"),
        ("is_a_formula", "#DIV/0!"),
    ]


def test_columns_that_are_left_out_are_told_and_so_are_other_sheets(
    steward: Caller,
) -> None:
    preview = previewed(
        steward, "Name,Livery,Owner,,Owner,Bought\nVan,green,,stray,x,\n"
    )
    (told,) = (
        one["message"] for one in preview["assumed"] if one["field"] == "columns"
    )
    assert all(words in told for words in ("B (Livery)", "D", "E (Owner)"))
    assert "Bought" not in told, "nothing stands in it"

    def write(workbook: Any, page: Any) -> None:
        page.write("A1", "Stock of our club")
        page.write("A2", "ask Joan before you change it")
        workbook.add_worksheet("List of 2026").write_row("A1", ["Name"])

    cover = previewed(steward, book(write), XLSX)
    assert "sheet=List%20of%202026" in " ".join(
        one["message"] for one in cover["assumed"]
    )


def test_a_number_that_another_vehicle_has_on_record_is_noted(steward: Caller) -> None:
    steward.made(
        "/v1/vehicles", {"name": "Harbour tank", "number": "12", "kind": "engine"}
    )
    preview = previewed(steward, "Name,Number,Kind\nOre wagon,12,wagon\n")
    assert counted(preview) == {"update": 1}
    (row,) = rows(steward, preview)
    assert "12 is Harbour tank on record" in notes(row)
    same = previewed(steward, "Name,Number,Weight\nHarbour  TANK,12,500\n")
    assert notes(rows(steward, same)[0]) == ""


def test_a_coupling_that_the_club_does_not_know_is_noted(steward: Caller) -> None:
    steward.made("/v1/coupling-types", {"name": "Club hook", "reach_mm": 4.5})
    preview = previewed(
        steward,
        "Name,Scale,Coupling\nVan,00,club HOOK\nCart,00,Club"
        " hok\nTruck,00,Three-link\n",
    )
    van, cart, truck = rows(steward, preview)
    assert "Club hok" in notes(cart)
    assert [notes(one) for one in (van, truck)] == ["", ""]


@pytest.mark.parametrize(
    ("head", "cell", "words"),
    [
        ("Count", "0", "such as 6"),
        ("Weight", "0", "like 42, 42 g"),
        ("Width", "0", "leave it empty"),
    ],
)
def test_a_figure_out_of_bounds_is_mended_as_its_column_is(
    steward: Caller, head: str, cell: str, words: str
) -> None:
    (row,) = rows(steward, previewed(steward, f"Name,{head}\nVan,{cell}\n"))
    (fault,) = row["faults"]
    assert fault["code"] == "too_small"
    assert words in fault["mend"]
    assert "12 in" not in fault["mend"] or head == "Width"


def test_rows_that_stand_often_in_a_file_name_a_few_of_the_others(
    steward: Caller,
) -> None:
    found = rows(steward, previewed(steward, "Name\n" + "Van\n" * 8))
    assert codes(found) == [["twice_in_the_file"]] * 8
    assert found[0]["faults"][0]["message"] == "stands in rows 3, 4, 5, 6, 7 too"


@pytest.mark.parametrize(
    "text", ["Name,Number\n?,-\n", "Name,Number,Weight\nVan,?,n/a\nCart,?,~\n"]
)
def test_the_same_file_again_changes_nothing_however_little_is_known(
    steward: Caller, text: str
) -> None:
    imported(steward, previewed(steward, text), "good")
    before = vehicles(steward)
    again = previewed(steward, text)
    assert set(counted(again)) <= {"unchanged", "fault"}
    assert imported(steward, again, "good").status_code == 200
    assert vehicles(steward) == before
