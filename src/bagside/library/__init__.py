"""Data only: generic materials and times, each value with its basis. A workshop's own files win over them."""
