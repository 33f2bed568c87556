"""Surfaces in three dimensions on a page: what is sent, and how it is shown.

`buffers` holds what is sent, and needs no page: a child process may make it. The element is `view.MeshView`; it is not
imported here, so that a child process need not load the pages.
"""

from bagside.web.scene.buffers import Field, MeshData, MeshLine, MeshPart, MeshPoint, digest_of_mesh, packed
from bagside.web.scene.looks import Look
from bagside.web.scene.threads import threads

__all__ = ["Field", "Look", "MeshData", "MeshLine", "MeshPart", "MeshPoint", "digest_of_mesh", "packed", "threads"]
