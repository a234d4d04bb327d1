"""What can be asked, a file for each subject: what is sent, what is answered, what
becomes of it.

``records`` makes the operations on every kind of record, with ``record_words`` (how a
kind is spoken of and where it stands), ``record_shapes`` (types, and a record put into
them) and ``record_changes`` (replaced, or patched). ``questions`` makes an operation of
what each question declares. ``looking_back`` is the page that ``history``, ``deleted``
and ``refused_changes`` share. ``sign_in`` and ``passphrases``; ``stock_imports`` with
``stock_import_shapes``; ``stock_lists``; ``club_documents``; ``taking_out``;
``erasure``; ``yard_drawings``; ``health``.

Decisions, each with the test that holds it:

- **Lists are paged in one way** (``web/pages``): one thing more than the page holds is
  read, and the address of the next page stands in the body and in Link
  (tests/api/test_lists.py).
- **Yards stand at two addresses**, beneath their layout and alone at ``/v1/yards``,
  from one descriptor: whoever shunts names a yard, whoever plans names the layout. One
  record, one version, one history; the layout is part of the body only where a yard is
  made at the second address (tests/api/test_yards_of_any_layout.py).
- **History keeps whole bodies, and tells differences.** The fields that differ are
  found when they are asked for; a list that became longer or shorter is told whole. Of
  kinds that a role may not read it is told nothing (tests/api/test_history.py).
"""
