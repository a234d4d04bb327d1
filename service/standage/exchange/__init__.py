"""What comes in and goes out as files: spreadsheets, and a club's document.

Reading order. The table of columns: ``fields``. A file becomes a sheet of cells:
``cells``, ``csv_in``, ``workbooks_in`` with ``zip_parts``, ``xml_walk``, ``xlsx_look``
and ``ods_look`` (workbooks looked through before they are opened), ``number_formats``
and ``book_sheets`` (which sheet). A sheet's columns: ``head_words``, ``headings``,
``column_cells``. Its rows: ``rows_apart``, ``rows``, and a cell at a time ``values``
with ``readings``, ``numbers`` and ``unknown_figures``. Out again: ``sheets_out``,
``guarded_text``. Large documents part by part: ``json_parts``.

None of it knows what a sheet lists: a ``ListKind`` (``list_kinds``) says that, by its
fields, its words, and what its columns hold by their cells. ``stock/`` is the one for
vehicles, ``plans/`` the one for track.

Words. A *field* is what a column may hold, its *sort* how its cells are read. A *head*
is *known* where its words are a field's. *Trouble* is what is wrong with a cell and how
it is mended; a *note* is told and stops nothing. *Strange* cells hold no value: a
formula, an error. *Guarded* text has a mark before what a spreadsheet would reckon.

Decisions, each with the test that holds it:

- A kind of list is a value. What one kind alone has, such as scales that stand under
  Gauge, is a reader of its field or a function of its ``ListKind``; nothing here asks a
  field for its name (tests/registry/test_lists_of_another_kind.py).
- A cell is taken for what its owner sees: the noughts, unit or percent sign that its
  format shows, the value of the cell above that it is joined with, a fraction as one
  sign. A rough figure (~130, 130–135) is a fault, since the ± has a column of its own;
  a mark for what nobody knows (?, n/a, -) says nothing and is noted; in a column of
  text it stays text: tests/exchange/test_cells.py, tests/exchange/test_workbooks_in.py.
- A misspelt heading is known word by word: likeness of the whole took an old number
  for a number and a diameter for a radius. Of several columns for one field the one
  that says it best is taken, and what is left out is told:
  tests/exchange/test_headings.py.
- A column is taken for what most of its cells hold: names of scales under Gauge are the
  scale, and beside a column of scales their gauge; figures of gauges are mm; a Type of
  "Lot 14" is left out and told. From fewer than three cells nothing is concluded, and
  what is never left out is a column without which a row says something else: count,
  scale, length over. Bare lengths, radii and masses are in the only unit in which they
  make sense, all of them and their middle one; where two units are left, the file's
  other cells or the caller settle it. The club's scale is not taken for granted for a
  row on another gauge: tests/exchange/test_column_cells.py.
- A title, a heading said again and a total are faults, not skipped: a row that holds
  one cell only, in a list of which most rows hold three and more, is a title unless
  most rows hold one. What stands below other headings is not read by the first ones.
  Units in a row below the headings are the columns'. Rows that a filter hides are
  taken, and told: tests/api/test_stock_lists_read.py.
- Of a workbook the first sheet that is shown and lists stock is taken (a heading that
  names vehicles, a second known column, rows below); other lists, hidden ones too, are
  named. Up to 16 MB of it are looked through for that:
  tests/exchange/test_workbooks_in.py, tests/api/test_stock_sheets.py.
- Plain "Length" is taken over buffers, and says so: if it was over couplings a train is
  told too long, never too short: tests/api/test_stock_lists_read.py.
- Workbooks are read by python-calamine (XLSX and ODS, well kept, fast), and only what
  ``zip_parts`` and ``xml_walk`` have looked through is handed to it, packed anew: no
  entities, no cell far out, no size that lies: tests/exchange/test_hostile_files.py.
  Hostile files take at most 1.0 s and 14 MB (tests/benchmarks/hostile_files.py, loaded
  machine); 10,000 rows 4 s to look at and 2 s to import, on PostgreSQL 7 s (two cores
  under a load of ten; looking takes 2.5 s of processor, rows at fault included), health
  meanwhile p95 18 to 50 ms (tests/benchmarks/import_load.py). What goes
  between processes goes in lots, so that neither holds up the loop. XlsxWriter writes
  workbooks: tests/exchange/test_read_back.py.
- What goes out comes back exactly, and nothing of it is a formula: the same.
- **The template has eight columns**, as CSV nothing else; the workbook heads every
  column on a second sheet, and whichever sheet is filled in is read.
- **What can be read in two ways is a fault of its row**, unless the file's other
  figures, or the caller, settle it.
"""
