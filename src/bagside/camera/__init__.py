"""Camera: flat outlines in true millimetres from one photograph."""
