"""One printer: ``pick`` (which one), ``now``, ``ahead``, ``past``, ``level``, ``label``."""
