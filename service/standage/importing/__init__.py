"""Spreadsheets that become records: headings, rows, preview, commit, undo.

The machinery knows no kind of record: ``description`` says what it asks of one,
``preview`` reads a file and reckons what each row would do, ``outcomes``, ``alike`` and
``sheet_remarks`` are what is told of it, ``meeting`` and ``merging`` how rows meet each
other and what is on record, ``taking`` carries it out, undoes it, and writes down the
rows at fault. What is about vehicles is one value, ``VEHICLE_LIST`` in
``vehicles/description``: columns, rows (``stock_rows``), how they find their records
again (``shelf``, ``finding``), how they are judged (``rows``, ``doubts``) and in what
words (``row_words``, ``look_alikes``). Another kind of list is another description: a
list of types of coupling goes through all of it in
tests/registry/test_lists_of_another_kind.py.

Words: a *row* is *judged* to create, update, change nothing or be at fault; what it is
*known by* is its record's id, else its key; a *note* stops nothing.

Decisions, each with the test that holds it:

- **An import is a preview first, and one transaction.** The preview stores what every
  row would do; the import does just that, and is refused where the records that the
  rows can mean have changed meanwhile. Undo is refused over later changes: nothing is
  lost silently (tests/api/test_stock_imports.py).
- **Rows are judged by the records that they can mean, and no others**, looked up by
  what each names: the same comes of it as with all the stock
  (tests/api/test_stock_looked_up.py).
- **A row is found again by its record's id, else by the owner and its key**: the key
  column, else the number, else the name. Rows that share a key are all held back, and
  an empty cell takes nothing away (tests/api/test_stock_rows.py).
- **What many rows share is told once**: a note word for word on three rows, a slip on
  half of them. Faults are told so too and stay on their rows, where they are mended
  (tests/api/test_stock_rows.py).
- **Numbers that differ by the noughts before them** (12, 00012) are one vehicle's where
  the names agree or the row has none: told, and the longer number is kept. With another
  name the row makes a vehicle and tells the likeness; the number of one vehicle beside
  the name of the other is a fault (tests/api/test_stock_rows.py).
- **Where no column holds names a vehicle is called by its kind and its number**, as
  American lists have them; a name that is on record stays
  (tests/api/test_stock_rows.py).
- **An import of no row is refused**; one whose rows say what is on record already is
  carried out and changes nothing, so that a list can be sent every night
  (tests/api/test_stock_imports.py).
- **Of the stock on record a list is judged by what its rows can mean**
  (``writing/stock_found``): the sheet is read first, then the vehicles are looked up
  by a key that is kept beside each (``registry/stock_keys``; case, spacing and noughts
  aside). All of an owner's 20,000 had been read for one row: 458 to 601 ms, now 13 to
  53 (``tests/benchmarks/small_previews.py``). The values go to the database as one
  parameter: of thousands PostgreSQL had compared each with every vehicle, for half a
  minute.
"""
