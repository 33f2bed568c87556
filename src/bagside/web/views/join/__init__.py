"""Brackets, holes and the joins of plies.

view    the values of the page, from a plan
drawn   a bond, what lies in its lap, a hole and its edges
"""
