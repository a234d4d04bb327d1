"""What can be asked, a file for each subject: what is sent, what is answered, what
becomes of it.

``records`` makes the operations on every kind of record, with ``record_words`` (how a
kind is spoken of and where it stands), ``record_shapes`` (types, and a record put into
them) and ``record_changes`` (replaced, or patched). ``questions`` makes an operation of
what each question declares. ``looking_back`` is the page that ``history``, ``deleted``
and ``refused_changes`` share. ``sign_in`` and ``passphrases``; ``stock_imports`` with
``stock_import_shapes``; ``stock_lists``; ``plan_sheets``; ``club_documents``; ``taking_out``;
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
- **A drawing is an operation of its own**, not a second form of an answer: each
  operation has one media type (``answers.media_type``), and 406 names it. A drawing posted for
  is like any posted answer not to be stored, and bears no ETag; one that is read does.
  Where there is no plan or no puzzle the sheet says why, with 200.
- **A drawing's own style is let in, by its hash**: it holds the paper's size, without
  which a browser prints templates on whatever paper is in its settings; nothing else
  may come with an answer (``drawings_shown``; tests/contract/test_browser.py,
  tests/api/test_headers_of_every_answer.py).
- **A sheet in a plan's place is laid upon the draft that was there when it came**, and
  refused where that was changed meanwhile, even with ``If-Match: *``: what no sheet
  holds would be another's. It goes in by the same write as a plan, so that history
  takes it back. A fault in any row refuses it whole; what is wrong with the plan and
  stands in no row does not, as no row could mend it
  (tests/api/test_plan_sheets_on_record.py).
- **A wagon named by id may bear a name beside it**, since six like wagons are one
  record and each needs its own in a yard.
- **A word in place of a part takes the whole part's place** in a merge patch: a reach
  beside the new type would be another's.
- **Who accepts an invitation is signed in**: they have just proved who they are, and
  would only type the passphrase again.
- **What ends on a day ends with it, in UTC**: 23:59:59, so that the answer shows the
  day that was meant.
"""
