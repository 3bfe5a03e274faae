"""The page that a new device sees: a code, a name, one button. No word of the workshop is on it."""

from __future__ import annotations

from html import escape

from tracker.language import _, voice

PATH = "/pair"

# No image, script or font: the page works before anything else of the app is answered.
_STYLE = """
:root {color-scheme: light dark}
body {margin: 0; font: 1.05rem/1.5 system-ui, sans-serif; background: light-dark(#fafaf7, #13191c);
  color: light-dark(#1d2629, #e7ecec)}
main {max-width: 24rem; margin: 0 auto; padding: 2.5rem 1.2rem}
h1 {font-size: 1.5rem; margin: 0 0 .5rem}
label {display: block; margin-top: 1.2rem; font-weight: 600}
input {box-sizing: border-box; width: 100%; min-height: 3rem; font-size: 1.2rem;
  padding: .4rem .7rem;
  border: 1px solid light-dark(#8a94a1, #7a8490); border-radius: .4rem;
  background: light-dark(#fff, #1e272b); color: inherit}
button {margin-top: 1.6rem; width: 100%; min-height: 3.2rem; font-size: 1.1rem; font-weight: 600;
  border: 0; border-radius: .4rem; background: light-dark(#0b5c8c, #7cc4ee);
  color: light-dark(#fff, #0b1b26)}
:focus-visible {outline: 3px solid light-dark(#0b5c8c, #7cc4ee); outline-offset: 2px}
[role=alert] {padding: .7rem .9rem; border-radius: .4rem; background: light-dark(#fbe5e1, #4a1f19);
  color: light-dark(#7a1f16, #ffd9d2)}
"""


def page(then: str, *, refusal: str = "", name: str = "") -> str:
    """The whole page, HTML; ``then`` is the address to go on to, ``refusal`` why it failed."""
    asks = _(
        "This tracker is shared with the devices of one workshop. Whoever runs it makes a code for "
        "each new device, on the page Records under Devices."
    )
    told = f'<p role="alert">{escape(refusal)}</p>' if refusal else ""
    return _whole(
        _("Pair this device"),
        f"""<p>{escape(asks)}</p>
{told}<form method="post" action="{PATH}">
<label for="code">{escape(_("Pairing code"))}</label>
<input id="code" name="code" inputmode="numeric" autocomplete="one-time-code" required
 maxlength="20">
<label for="name">{escape(_("Your name, as it stands beside what you write down"))}</label>
<input id="name" name="name" autocomplete="name" maxlength="40" value="{escape(name)}">
<input type="hidden" name="then" value="{escape(then)}">
<button>{escape(_("Let this device in"))}</button></form>""",
    )


def refused_page(sentence: str) -> str:
    """A page that says in one sentence why nothing is shown."""
    return _whole(_("Not open here"), f'<p role="alert">{escape(sentence)}</p>')


def _whole(title: str, body: str) -> str:
    return f"""<!doctype html>
<html lang="{voice().language}"><head><meta charset="utf-8"><title>{escape(title)}</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><style>{_STYLE}</style></head>
<body><main><h1>{escape(title)}</h1>{body}</main></body></html>
"""


def place_in_app(address: str) -> str:
    """Where to go on to: a place of this app alone, else its first page.

    >>> place_in_app("/log?printer=Left"), place_in_app("//elsewhere.example"), place_in_app("x")
    ('/log?printer=Left', '/', '/')
    """
    own = (
        address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    )
    return address if own and not address.startswith(PATH) else "/"
