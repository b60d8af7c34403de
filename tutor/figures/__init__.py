"""Pictures as text: circuit drawings, Bode charts, s-plane maps (no screen needed)."""
