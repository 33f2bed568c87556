"""The workshop in the browser: pages at the desk, and one page for the floor.

    app, serve, house   what is served, from which workshop, to whom
    guard               who may do what; what is let in
    model               the files that pages edit, with undo, history and conflicts
    work                child processes in which everything that takes time is done
    views               plan and records -> what a page shows; pure
    pages, parts        the pages at the desk, and what they are put together from
    scene               maps on a surface in space
    floor               the page for phone and tablet, which needs no server once it is loaded
    looks, words        how it looks and what it says, in two languages
"""
