"""Pictures of a finished result; nothing is computed here that is told as a figure."""
