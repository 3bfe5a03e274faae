"""The page Today: for the ``owner`` the sections ``orders``, ``board``, ``month`` and ``also``.

``technician`` is the page for work at the printers; ``downtime`` (what stands still or empty) and
``rows`` belong to both.
"""
