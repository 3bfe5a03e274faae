"""What may a page of this app load? Said to the browser with every answer."""

from __future__ import annotations

import base64
import hashlib
import re

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)

OF_PAIRING = (
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)


def of_app(shell: str) -> str:
    """The content security policy of the app (W3C CSP Level 3) around its page ``shell``, HTML.

    Scripts, pictures, fonts and connections come from this app alone, so that a name which slipped
    past every other gate fetches nothing from elsewhere and runs nothing. Own small components
    reach the browser as blobs; the page's own inline scripts are allowed by their hash. Styles may
    stand inline, for the library writes them so; what they could fetch is ruled by the rest.
    """
    hashes = " ".join(f"'{_hash(script)}'" for script in _SCRIPT.findall(shell))
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src 'self' blob: 'wasm-unsafe-eval' {hashes}".strip(),
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            "media-src 'self' data: blob:",
            "connect-src 'self' data: blob:",
            "worker-src 'self' blob:",
            "frame-src 'self' blob:",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'self'",
            "frame-ancestors 'self'",
        )
    )


def _hash(script: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
