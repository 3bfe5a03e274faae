"""What closed days cannot say beside the printers: sites where nothing stands."""

from __future__ import annotations

from tracker.workshop.refusal import Findings, nearest_word


def check_closed_sites(found: Findings) -> None:
    """A closure names a site where printers stand, and not one where its printer does not."""
    if not found.is_touched("closures"):
        return
    closures, printers = found.records.closures, found.records.printers
    known = set(printers["site"].unique()) - {""}
    for site in [name for name in closures["site"].unique() if name and name not in known]:
        likeness = nearest_word(site, sorted(known))
        mend = f"did you mean {likeness}?" if likeness else "leave it empty for the whole workshop"
        if not likeness and known:
            mend = f"write one of {', '.join(sorted(known))}, or {mend}"
        found.refuse(
            "closures", closures["site"].eq(site), "site", "is not the site of any printer", mend
        )
    stands = closures["printer"].map(
        printers.drop_duplicates("printer", keep="last").set_index("printer")["site"]
    )
    elsewhere = closures["site"].isin(known) & stands.notna() & closures["site"].ne(stands)
    found.refuse(
        "closures",
        elsewhere,
        "site",
        lambda at: f"is not where {closures['printer'].iloc[at]} stands",
        lambda at: f"write {stands.iloc[at] or 'nothing'}, or leave the printer empty",
    )
