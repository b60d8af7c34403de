"""The pads on which sketches are drawn."""
