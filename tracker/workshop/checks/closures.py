"""What closed days cannot say: sites where nothing stands, and suppliers who stand at one."""

from __future__ import annotations

from tracker.language import _
from tracker.workshop.refusal import Findings, meant_or


def check_closed_sites(found: Findings) -> None:
    """A closure names a site where printers stand, and not one where its printer does not."""
    if not found.is_touched("closures"):
        return
    closures, printers = found.records.closures, found.records.printers
    found.refuse(
        "closures",
        closures["supplier"].ne("") & (closures["site"].ne("") | closures["printer"].ne("")),
        "supplier",
        _("is a supplier's, and closes no site or printer"),
        _("write a row for each"),
    )
    known = set(printers["site"].unique()) - {""}
    for site in [name for name in closures["site"].unique() if name and name not in known]:
        otherwise = _("leave it empty for the whole workshop")
        if known:
            otherwise = _(
                "write one of {known}, or {mend}", known=", ".join(sorted(known)), mend=otherwise
            )
        mend = meant_or(site, sorted(known), otherwise)
        found.refuse(
            "closures", closures["site"].eq(site), "site", _("is not the site of any printer"), mend
        )
    stands = closures["printer"].map(
        printers.drop_duplicates("printer", keep="last").set_index("printer")["site"]
    )
    elsewhere = closures["site"].isin(known) & stands.notna() & closures["site"].ne(stands)
    found.refuse(
        "closures",
        elsewhere,
        "site",
        lambda at: _("is not where {printer} stands", printer=closures["printer"].iloc[at]),
        lambda at: _(
            "write {stands}, or leave the printer empty", stands=stands.iloc[at] or "nothing"
        ),
    )
