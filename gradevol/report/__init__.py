"""The report: one page for a browser, whole in itself, and one sheet to print."""
