"""Is the tracker shared, and how do people reach it? The environment tells the app's pages."""

from __future__ import annotations

import os
from dataclasses import dataclass

from tracker.sharing.device_list import DeviceList
from tracker.store.address import data_folder

_SHARED, _PROXY = "TRACKER_SHARED", "TRACKER_PROXY"
COOKIE = "tracker_key"  # holds a device's token


@dataclass(frozen=True)
class Mode:
    """``address`` is where people reach the tracker; "" where it is not shared.

    ``through_proxy``: a proxy or tunnel passes requests on, so none is this computer's own.
    """

    address: str = ""
    through_proxy: bool = False

    @property
    def is_shared(self) -> bool:
        """May devices be let in at all?"""
        return bool(self.address)

    def tell(self) -> None:
        """Leave it in the environment for the app's pages."""
        os.environ[_SHARED] = self.address
        os.environ[_PROXY] = "yes" if self.through_proxy else ""

    @classmethod
    def told(cls) -> Mode:
        """As the program was started; not shared unless it was said."""
        return cls(os.environ.get(_SHARED, ""), bool(os.environ.get(_PROXY)))


def device_list() -> DeviceList:
    """The devices of this computer's tracker, beside its databases."""
    return DeviceList(data_folder() / "devices.sqlite")
