"""Every file that leaves: the book, templates, nests, the plan as JSON."""
