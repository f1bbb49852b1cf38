"""The report: one page for a browser, whole in itself, without a network."""
