"""Records: what the workshop has in stock, and what was taken from it."""
