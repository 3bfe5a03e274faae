"""Printed pages: one writer for all of them.

``page`` is a whole page with its one style sheet, ``blocks`` its pieces (every word is escaped
there), ``svg`` draws a picture of ``tracker/charts``. A new printed page is a module beside
``review``, ``routine_sheet``, ``order_sheet``, ``log_sheet`` and ``labels`` that puts blocks
together and has no markup. ``log_grid`` is the sheet that a page of ``log_sheet`` is typed into;
``addresses`` are what the codes of ``labels`` lead to.
"""
