"""Writers: a presented result to files. Nothing is computed here."""
