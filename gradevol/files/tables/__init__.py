"""Text as it comes from instruments and spreadsheets: to lines, cells, columns and numbers."""
