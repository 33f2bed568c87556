"""A workshop and a first job from a few answers: what is asked, and the files that a person could have written.

questions       what is asked of a workshop, with values to begin with
workshop_text   the answers as ``workshop.toml``
records         the freezer and the roll in the records
cards           flat outlines from sizes, drawings and photos
kept            what was answered so far, on the disk until it is made
mesh            what a mesh file holds, in every unit it could be in
draft           a job that is being put together
job_text        the draft as ``job.toml``
pictures, card_picture   what is meant, drawn
"""
