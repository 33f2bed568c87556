"""The files that pages edit, and what follows from them."""
