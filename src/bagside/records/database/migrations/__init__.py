"""How the records grow with the program: one file for each schema that was ever released, oldest first.

A file here is never changed once it is released. Each takes the schema before it to its own, with the data in it.
"""
