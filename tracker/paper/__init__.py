"""Printed pages: one writer for all of them.

``page`` is a whole page with its one style sheet, ``blocks`` its pieces (every word is escaped
there), ``svg`` draws a picture of ``tracker/charts``. A new printed page is a module beside
``review``, ``routine_sheet`` and ``order_sheet`` that puts blocks together and has no markup.
"""
