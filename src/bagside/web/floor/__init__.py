"""The page for phone and tablet: one build, one step a screen, and no need of the server once it is loaded.

    routes      addresses
    told        a build as the device keeps it: steps, pictures, numbers wanted, gates, what is done
    taking      what devices send, into the ledger: each once and in order
    drawing     pictures, in a process of its own; pictures: where they are kept
    app         the page: HTML, one style sheet, small modules without a build step
"""

from bagside.web.floor.routes import floor_routes

__all__ = ["floor_routes"]
