"""Workbooks for tests, sound ones and hostile ones: built by hand where no library
would make them.
"""

import io
import zipfile
from collections.abc import Mapping, Sequence
from typing import Any

import xlsxwriter

NAMESPACE = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MAIN = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
TYPES = (
    f'<Types xmlns="{_PACKAGE}/content-types"><Override PartName="/xl/workbook.xml"'
    f' ContentType="{_MAIN}"/></Types>'
)
BOOK = (
    f'<workbook {NAMESPACE} xmlns:r="{_RELATIONS}"><sheets><sheet name="Stock"'
    ' sheetId="1" r:id="r1"/></sheets></workbook>'
)
LINKS = (
    f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1"'
    f' Target="worksheets/sheet1.xml" Type="{_RELATIONS}/worksheet"/></Relationships>'
)
ODS_NAMES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
    for short, long in {
        "office": "office",
        "table": "table",
        "text": "text",
        "style": "style",
    }.items()
)
ODS_TYPE = "application/vnd.oasis.opendocument.spreadsheet"
ODS_MANIFEST = (
    "<manifest:manifest"
    ' xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry'
    f' manifest:full-path="/" manifest:media-type="{ODS_TYPE}"/></manifest:manifest>'
)


def packed(parts: Mapping[str, str | bytes], *, stored: bool = False) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(
        made, "w", zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    ) as pack:
        for name, part in parts.items():
            pack.writestr(name, part)
    return made.getvalue()


def xlsx_parts(rows: str, **more: str | bytes) -> dict[str, str | bytes]:
    """Return the parts of a workbook whose one sheet holds ``rows`` as XML."""
    sheet = f"<worksheet {NAMESPACE}><sheetData>{rows}</sheetData></worksheet>"
    whole: dict[str, str | bytes] = {
        "[Content_Types].xml": TYPES,
        "xl/workbook.xml": BOOK,
        "xl/_rels/workbook.xml.rels": LINKS,
        "xl/worksheets/sheet1.xml": sheet,
    }
    return whole | more


def xlsx(rows: str, **more: str | bytes) -> bytes:
    return packed(xlsx_parts(rows, **more))


def cell(address: str, text: str) -> str:
    return f'<c r="{address}" t="inlineStr"><is><t>{text}</t></is></c>'


def ods_parts(
    tables: str, *, before: str = "", **more: str | bytes
) -> dict[str, str | bytes]:
    """Return the parts of an ODS workbook with these tables as XML."""
    content = (
        f"{before}<office:document-content"
        f" {ODS_NAMES}><office:body><office:spreadsheet>{tables}"
        "</office:spreadsheet></office:body></office:document-content>"
    )
    return {
        "mimetype": ODS_TYPE,
        "META-INF/manifest.xml": ODS_MANIFEST,
        "content.xml": content,
    } | more


def ods_cell(value: str | float | None, attributes: str = "") -> str:
    if value is None:
        return f"<table:table-cell {attributes}/>"
    if isinstance(value, str):
        return (
            '<table:table-cell office:value-type="string"'
            f" {attributes}><text:p>{value}</text:p></table:table-cell>"
        )
    return (
        f'<table:table-cell office:value-type="float" office:value="{value}"'
        f" {attributes}/>"
    )


def ods(rows: Sequence[Sequence[str | float | None]]) -> bytes:
    """Return an ODS workbook with one sheet of these rows, as an office program writes
    it.
    """
    lines = "".join(
        f"<table:table-row>{''.join(map(ods_cell, row))}</table:table-row>"
        for row in rows
    )
    nothing = '<table:table-cell table:number-columns-repeated="16384"/>'
    end = (
        "<table:table-row"
        f' table:number-rows-repeated="1048000">{nothing}</table:table-row>'
    )
    return packed(
        ods_parts(f'<table:table table:name="Stock">{lines}{end}</table:table>')
    )


def workbook(rows: Sequence[Sequence[Any]], *, name: str = "Stock") -> bytes:
    """Return an XLSX workbook with one sheet; a text that begins with '=' is a
    formula.
    """
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        page = book.add_worksheet(name)
        for number, row in enumerate(rows):
            page.write_row(number, 0, row)
    return made.getvalue()


def book(
    sheets: Mapping[str, Sequence[Sequence[Any]]], *, hidden: Sequence[str] = ()
) -> bytes:
    """Return an XLSX workbook with these sheets in order, some of them hidden."""
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as workbook:
        for name, rows in sheets.items():
            page = workbook.add_worksheet(name)
            for number, row in enumerate(rows):
                page.write_row(number, 0, row)
            if name in hidden:
                page.hide()
    return made.getvalue()


def ods_book(
    sheets: Mapping[str, Sequence[Sequence[str | float | None]]],
    *,
    hidden: Sequence[str] = (),
) -> bytes:
    """Return an ODS workbook with these sheets in order, some of them hidden by their
    style.
    """
    style = (
        '<style:style style:name="gone" style:family="table"><style:table-properties'
        ' table:display="false"/>'
    )
    tables = []
    for name, rows in sheets.items():
        lines = "".join(
            f"<table:table-row>{''.join(map(ods_cell, row))}</table:table-row>"
            for row in rows
        )
        styled = ' table:style-name="gone"' if name in hidden else ""
        tables.append(f'<table:table table:name="{name}"{styled}>{lines}</table:table>')
    whole = str(ods_parts("".join(tables))["content.xml"])
    styles = f"<office:automatic-styles>{style}</style:style></office:automatic-styles><office:body>"
    return packed(
        ods_parts("") | {"content.xml": whole.replace("<office:body>", styles, 1)}
    )


def bomb(*, megabytes: int) -> bytes:
    """Return a workbook whose sheet is nothing but spaces, very many of them."""
    return xlsx(" " * (megabytes * 2**20))


def lying(*, declared: int) -> bytes:
    """Return a workbook that says in its directory that a part is smaller than it
    is.
    """
    raw = bytearray(xlsx(" " * (30 * 2**20)))
    at = raw.rindex(b"PK\x01\x02")
    raw[at + 24 : at + 28] = declared.to_bytes(4, "little")
    return bytes(raw)


def overlapping() -> bytes:
    """Return a zip in which many names stand for one and the same bytes."""
    parts = xlsx_parts("")
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, part in parts.items():
            pack.writestr(name, part)
        pack.writestr("a.xml", b" " * 2**20)
        first = pack.getinfo("a.xml")
        for number in range(20):
            again = zipfile.ZipInfo(f"b{number}.xml")
            again.header_offset, again.compress_size = (
                first.header_offset,
                first.compress_size,
            )
            again.file_size, again.CRC, again.compress_type = (
                first.file_size,
                first.CRC,
                first.compress_type,
            )
            pack.filelist.append(again)
            pack.NameToInfo[again.filename] = again
    return made.getvalue()
