"""Files that are meant to do harm, each with the code of its refusal."""

from functools import cache

from support.workbooks import (
    BOOK,
    ODS_NAMES,
    TYPES,
    bomb,
    cell,
    lying,
    ods_cell,
    ods_parts,
    overlapping,
    packed,
    xlsx,
    xlsx_parts,
)

Cases = dict[str, tuple[str, bytes, str]]
_LAUGHS = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
_OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
_SHEET = "xl/worksheets/sheet1.xml"


def _with(part: str, content: str | bytes) -> bytes:
    return packed(xlsx_parts("") | {part: content})


def _table(rows: str) -> bytes:
    return packed(ods_parts(f'<table:table table:name="Stock">{rows}</table:table>'))


def _row(cells: str, attributes: str = "") -> str:
    return f"<table:table-row {attributes}>{cells}</table:table-row>"


@cache
def hostile() -> Cases:
    """Return each by what it is: its format, its bytes, and the code it is refused
    with.
    """
    return {**_bombs(), **_unsafe(), **_in_ods(), **_in_csv()}


def _bombs() -> Cases:
    sheet = xlsx_parts("")[_SHEET]
    assert isinstance(sheet, str)
    many = "".join(f"<row>{'<c><v>1</v></c>' * 190}</row>" for _ in range(1_500))
    return {
        "a zip bomb": ("xlsx", bomb(megabytes=64), "too_large"),
        "a sheet of spaces": ("xlsx", bomb(megabytes=35), "cell_too_long"),
        "many small elements": ("xlsx", xlsx("<a/>" * 6_000_000), "too_large"),
        "a size that lies": ("xlsx", lying(declared=1000), "not_a_workbook"),
        "parts over each other": ("xlsx", overlapping(), "not_a_workbook"),
        "entities in a sheet": ("xlsx", _with(_SHEET, _LAUGHS + sheet), "entities"),
        "entities from outside": ("xlsx", _with(_SHEET, _OUTSIDE + sheet), "entities"),
        "entities in the book": (
            "xlsx",
            _with("xl/workbook.xml", _LAUGHS + BOOK),
            "entities",
        ),
        "entities in the texts": (
            "xlsx",
            _with("xl/sharedStrings.xml", _LAUGHS + "<sst/>"),
            "entities",
        ),
        "a cell far out": (
            "xlsx",
            xlsx(f'<row r="1">{cell("XFD1048576", "x")}</row>'),
            "too_far_out",
        ),
        "a cell far down without an address": (
            "xlsx",
            xlsx('<row r="999999"><c><v>1</v></c></row>'),
            "too_far_out",
        ),
        "more cells than any list": ("xlsx", xlsx(many), "too_many_cells"),
        "a cell of 10 MB": (
            "xlsx",
            xlsx(f"<row>{cell('A1', 'x' * 10_000_000)}</row>"),
            "cell_too_long",
        ),
        "a text of 10 MB": (
            "xlsx",
            _with(
                "xl/sharedStrings.xml", f"<sst><si><t>{'x' * 10_000_000}</t></si></sst>"
            ),
            "cell_too_long",
        ),
    }


def _unsafe() -> Cases:
    return {
        "macros": ("xlsx", xlsx("", **{"xl/vbaProject.bin": b"x"}), "macros"),
        "macros by its own word": (
            "xlsx",
            _with(
                "[Content_Types].xml",
                TYPES.replace("spreadsheetml.sheet.main", "x.sheet.macroEnabled.main"),
            ),
            "macros",
        ),
        "links to other files": (
            "xlsx",
            xlsx("", **{"xl/externalLinks/externalLink1.xml": "<x/>"}),
            "external_links",
        ),
        "a workbook of the old sort": (
            "xlsx",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" * 100,
            "not_a_workbook",
        ),
        "half a workbook": ("xlsx", xlsx("")[:300], "not_a_workbook"),
        "an empty zip": ("xlsx", b"PK\x05\x06" + b"\0" * 18, "not_a_workbook"),
        "no zip": ("xlsx", b"Name,Number\nOre,47\n", "not_a_workbook"),
    }


def _in_ods() -> Cases:
    return {
        "a text as ODS": ("ods", b"Name,Number\nOre,47\n", "not_a_workbook"),
        "an XLSX as ODS": ("ods", xlsx(""), "not_a_workbook"),
        "entities in ODS": ("ods", packed(ods_parts("", before=_LAUGHS)), "entities"),
        "a row said a million times": (
            "ods",
            _table(_row(ods_cell("x"), 'table:number-rows-repeated="1000000"')),
            "too_far_out",
        ),
        "a cell said 16,384 times": (
            "ods",
            _table(_row(ods_cell(1.0, 'table:number-columns-repeated="16384"'))),
            "too_far_out",
        ),
        "a sheet said many times over": (
            "ods",
            _table(
                _row(
                    ods_cell(1.0, 'table:number-columns-repeated="200"'),
                    'table:number-rows-repeated="20000"',
                )
            ),
            "too_many_cells",
        ),
        "a cell of 10 MB in ODS": (
            "ods",
            _table(_row(ods_cell("x" * 10_000_000))),
            "cell_too_long",
        ),
        "macros in ODS": (
            "ods",
            packed(ods_parts("", **{"Basic/Standard/Module1.xml": "<x/>"})),
            "macros",
        ),
        "links in ODS": (
            "ods",
            packed(
                ods_parts(
                    '<table:table table:name="S"'
                    f" {ODS_NAMES}><table:table-source/></table:table>"
                )
            ),
            "external_links",
        ),
    }


def _in_csv() -> Cases:
    return {
        "a cell of 10 MB in CSV": (
            "csv",
            b"Name\n" + b"x" * 4_900_000,
            "cell_too_long",
        ),
        "a cell that never ends": (
            "csv",
            b'Name\n"' + b"x,\n" * 1_600_000,
            "cell_too_long",
        ),
        "half a million columns": ("csv", b"x," * 2_500_000, "too_many_columns"),
        "two million rows": ("csv", b"x\n" * 2_500_000, "too_many_rows"),
    }
