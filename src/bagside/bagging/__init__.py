"""The bag: what goes into it, how big, how tight, and whether water makes voids in it."""
