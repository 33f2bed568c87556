"""The zones of the part, the stack in each, and what it replaces.

view   works them out, from a plan or from the plies shaped so far
shown  the values alone, so that a page is open before anything that works them out is loaded
"""
