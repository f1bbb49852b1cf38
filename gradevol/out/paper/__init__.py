"""Paper: ``sheet.pdf``, one page to print."""
