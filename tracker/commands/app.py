"""Open the app in this process."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from tracker.errors import UsageError
from tracker.language import _
from tracker.store.address import parse_address


def open_app(options: argparse.Namespace) -> int:
    """Hand this process over to Streamlit with the app's entry script."""
    if options.port is not None and not 1 <= options.port <= 65535:
        raise UsageError(_("--port {port}: a port lies between 1 and 65535.", port=options.port))
    if options.database:
        parse_address(options.database)  # told here, not on every page
        os.environ["TRACKER_DATABASE"] = options.database
    if options.demo:
        os.environ["TRACKER_DEMO"] = "yes"
    port = options.port or 8501
    script = Path(__file__).parent.parent / "app.py"
    sys.argv = ["streamlit", "run", str(script), f"--server.port={port}"]
    if options.no_browser:
        sys.argv.append("--server.headless=true")
    print(f"The tracker runs at http://localhost:{port} – stop it with Ctrl+C.", flush=True)
    from streamlit.web import cli

    return int(cli.main() or 0)
