"""Pages: ``report.html``, whole in itself."""
