"""Bag and cure.

view     the values of the page, from a plan or from the plies shaped so far
run      one oven run: curves, limits, what is kept
section  through the bag, drawn
"""
