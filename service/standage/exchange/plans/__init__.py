"""Sheets of track: one row a piece, with what each of its ends joins.

Reading order. Its columns: ``fields``, made from the pieces' own figures, with
``choices`` for their words and ``piece_cells`` for cells that no other list has. Names
of pieces and what an end joins: ``join_cells``. Rows into pieces: ``piece_rows``; what
they join: ``joins_told``; both into a plan: ``plan_in``. Out again: ``plan_out``, and
``plan_document`` as JSON; what a sheet cannot hold: ``beyond``; what it makes
otherwise than a draft: ``differences``. What a newcomer fills
in: ``templates``.

Words. An end is *told* to join where a cell says so, on either row or on both. A piece
named alone is *bare*: which of its ends is meant follows from the others. What a sheet
has no column for is *beyond* it.

Decisions, each with the test that holds it:

- Columns follow from the pieces: a figure that a kind of piece gains has its column at
  once (tests/exchange/test_plan_sheets.py).
- A sheet is the whole of a plan's pieces and joins. What is beyond it (heights, parts
  of flexible track, boards, modules) stays as the draft has it that the sheet is laid
  upon, and is told on the way out: tests/laws/test_plan_sheet_laws.py.
- Out and in again is exact: figures have all their digits, a name that a reader could
  take otherwise stands in quotes, and where joins lie in another order than the rows
  tell them, a column says which. The order decides where a circuit is closed.
- A row that says its kind is a piece, whatever else it looks like: a piece may be
  called Total.
- A join told on both rows is one join. A bare name needs only one end that is free or
  names the row back; otherwise the ends are listed
  (tests/exchange/test_plan_sheet_joins.py).
"""
