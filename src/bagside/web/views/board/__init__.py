"""The board: what runs, the open jobs, what dies, what is to decide.

view   its values, from the records and what is told of each job
day    the day as a thread
empty  what is meant where nothing is there yet
"""
