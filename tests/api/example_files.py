"""What the club of the examples sends and gets as files."""

from api import example_club as club
from api.asking import NOBODY
from api.example_recorder import Recorder
from standage.exchange.plans import templates
from standage.exchange.sheets_out import csv_bytes
from standage.questions.plan import MALT_HOUSE


def play_files(recorder: Recorder) -> None:
    """Send a list of stock, look at it, import it, undo it."""
    for name in ("List", "Template", "Sample"):
        for form in ("Csv", "Xlsx"):
            recorder.ask(f"getStock{name}{form}")
            recorder.ask(f"getStock{name}{form}", query="colour=red")
    _play_sheets_of_track(recorder)
    recorder.ask("exportClub", query="colour=red")
    recorder.ask("getMemberData", at={"member_id": NOBODY})
    member = recorder.steward.made("/v1/members", {"name": "Yarrow"})
    recorder.ask("getMemberData", at={"member_id": member["id"]})
    small = recorder.service.club("The Siding Circle")
    recorder.ask("exportClub", by=small)
    preview = recorder.made("createStockImport", club.STOCK_LIST)
    recorder.ask("createStockImport", "")
    recorder.ask("listStockImports")
    recorder.ask("listStockImports", query="state=lost")
    at = {"stock_import_id": preview["id"]}
    for operation_id in (
        "getStockImport",
        "getStockImportRows",
        "getStockImportRejects",
    ):
        recorder.ask(operation_id, at=at)
        recorder.ask(operation_id, at={"stock_import_id": NOBODY})
    recorder.ask("getStockImportRows", at=at, query="outcome=lost")
    recorder.ask("undoStockImport", at=at)
    mapping = preview["mapping"] | {"length_over": "couplings"}
    recorder.ask("replaceStockImportMapping", mapping, at=at)
    tag = recorder.steward.tag(f"/v1/stock-imports/{preview['id']}")
    recorder.ask("replaceStockImportMapping", mapping, at=at, if_match=tag)
    recorder.ask("replaceStockImportMapping", mapping, at=at, if_match=tag)
    recorder.ask("commitStockImport", {"rows": "all"}, at=at)
    done = recorder.ask("commitStockImport", {"rows": "good"}, at=at)
    assert done.status_code == 200, done.text
    recorder.ask("commitStockImport", {"rows": "all"}, at={"stock_import_id": NOBODY})
    recorder.ask("replaceStockImportMapping", mapping, at=at, if_match="*")
    undone = recorder.ask("undoStockImport", at=at)
    assert undone.status_code == 200, undone.text


def _play_sheets_of_track(recorder: Recorder) -> None:
    """Fetch a sheet to begin with, send it in, and have a plan written as one."""
    for name in ("TemplateCsv", "TemplateXlsx", "MeasuredCsv"):
        recorder.ask(f"getPlan{name}")
        recorder.ask(f"getPlan{name}", query="colour=red")
    sheet = csv_bytes(templates.measured()).decode("utf-8-sig")
    made = recorder.ask("checkPlanSheet", sheet, query="scale=00")
    assert made.status_code == 200, made.text
    recorder.ask("checkPlanSheet", "")
    for form in ("Csv", "Xlsx"):
        recorder.ask(f"writePlanSheet{form}", {"plan": MALT_HOUSE})
        recorder.ask(f"writePlanSheet{form}", {"plan": {"pieces": 5}})
