"""How sure a volume is: what shots, the gaps between them, datum and top each leave open."""
