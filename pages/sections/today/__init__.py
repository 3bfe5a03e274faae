"""Parts of the page Today: printers that stand still."""
