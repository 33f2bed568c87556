"""From one photo of a sheet with markers to the view that measures on it."""

from __future__ import annotations

from bagside.camera.lens import Lens
from bagside.camera.marks import MarkFrame
from bagside.camera.plane_view import View
from bagside.camera.readers import Photo

__all__ = ["View", "view_of"]


def view_of(photo: Photo, frame: MarkFrame, lens: Lens | None = None) -> View:
    """Return the view of one photo.

    Parameters
    ----------
    photo
        The picture.
    frame
        The sheet in it.
    lens
        Of this camera from photos taken before; None when there is none.
    """
    raise NotImplementedError
