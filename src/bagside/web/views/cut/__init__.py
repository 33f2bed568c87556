"""Cloths on the table.

view   works them out, from a plan, a nest as it grows, or a stored layout
shown  the values alone, so that a page is open before anything that works them out is loaded
"""
