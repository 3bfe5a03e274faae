"""What one device keeps: its seat, its person, half-filled forms; and a word when the line is down.

A cookie of this app alone: a new session reads it before its first page, so that nothing flickers.
It holds some forty printers of a first run; what is too long for it is told and not kept.
"""

from __future__ import annotations

import base64
import json
import secrets
import zlib
from collections.abc import Mapping
from typing import Any

import streamlit as st

from tracker.language import N_, _

_COOKIE = "tracker_device"
_LONGEST = 3_500  # bytes; a browser drops a cookie of more than four thousand
_UNPACKED = 200_000  # bytes; a small cookie must not unpack into more than can have been kept

_SCRIPT = """
export default function ({ data }) {
  // What an earlier run said is drawn again while a later one is on its way.
  const told = window.trackerTold;
  if (!told || told.session !== data.session || told.turn <= data.turn) {
    window.trackerTold = { session: data.session, turn: data.turn };
    document.cookie = data.name + "=" + data.value + "; path=/; max-age=31536000; SameSite=Lax";
  }
  if (window.trackerWatchesTheLine) return;
  window.trackerWatchesTheLine = true;
  const notice = document.createElement("div");
  notice.setAttribute("role", "alert");
  notice.id = "tracker-offline";
  notice.hidden = true;
  notice.style.cssText = "position:fixed;top:0;left:0;right:0;z-index:100000;padding:0.8rem 1rem;" +
    "background:#7a1f16;color:#fff;font:600 1rem/1.4 sans-serif;text-align:center";
  document.body.appendChild(notice);
  const tell = (lost) => { notice.textContent = lost ? data.lost : ""; notice.hidden = !lost; };
  const look = async () => {
    try {
      const answer = await fetch("/_stcore/health", { cache: "no-store" });
      // A device that was removed from the list sees the page that would pair it again.
      if (answer.status === 401) window.location.reload(); else tell(!answer.ok);
    } catch { tell(true); }
  };
  window.addEventListener("offline", () => tell(true));
  window.addEventListener("online", look);
  setInterval(look, 4000);
}
"""

LOST = N_(
    "No connection to the tracker: what you tap now is not saved. Wait until this line is gone."
)


@st.cache_resource(show_spinner=False)
def _component() -> Any:
    return st.components.v2.component("tracker_device", js=_SCRIPT)


def recall(name: str, default: Any = None) -> Any:
    """What this device kept under a name."""
    return _kept().get(name, default)


def remember(name: str, value: Any) -> None:
    """Keep a small value on this device, also beyond a reload; None forgets it."""
    kept = dict(_kept())
    if value is None:
        kept.pop(name, None)
    else:
        kept[name] = value
    st.session_state["device"] = kept


def attend(when: str) -> None:
    """Hand to the browser what it is to keep: as a run begins, for a reload may come before its
    page is whole, and again as it ends.
    """
    data = {"name": _COOKIE, "lost": _(LOST), **_told()}
    with st.container(key=f"device-{when}"):
        _component()(key=f"device-keeps-{when}", data=data)


def _told() -> dict[str, Any]:
    """What the browser is to keep, and how many times this session has told another thing."""
    value, told = packed(_kept()), st.session_state.get("device-told")
    if told is None:
        told = {"session": secrets.token_hex(8), "turn": 0, "value": value}
    elif told["value"] != value:
        told = {**told, "turn": told["turn"] + 1, "value": value}
    st.session_state["device-told"] = told
    return dict(told)


def keeps_the_draft() -> bool:
    """Is there room on this device for what the forms hold?"""
    return len(_pack(_kept())) <= _LONGEST


def packed(kept: Mapping[str, Any]) -> str:
    """What stands in the cookie; without the half-filled forms where they are too long for it."""
    whole = _pack(kept)
    return whole if len(whole) <= _LONGEST else _pack({**kept, "draft": None})


def unpacked(cookie: object) -> Mapping[str, Any]:
    """A cookie may hold anything: what is not ours counts as nothing kept."""
    if not isinstance(cookie, str):  # without a browser there is none
        return {}
    try:
        written = zlib.decompressobj().decompress(
            base64.urlsafe_b64decode(cookie.encode()), _UNPACKED
        )
        kept = json.loads(written)
    except (ValueError, RecursionError, zlib.error):
        return {}
    return kept if isinstance(kept, dict) else {}


def _pack(kept: Mapping[str, Any]) -> str:
    return base64.urlsafe_b64encode(zlib.compress(json.dumps(kept).encode(), 9)).decode()


def _kept() -> Mapping[str, Any]:
    if "device" not in st.session_state:
        st.session_state["device"] = unpacked(st.context.cookies.get(_COOKIE, ""))
    kept: Mapping[str, Any] = st.session_state["device"]
    return kept
