"""Pictures as text: circuit drawings, Bode charts, s-plane maps (no screen needed).

Every figure is computed as plain lines of single-width characters together with spans
that say what each stretch of characters *is* (a wire, a curve, a label …).  A widget, a
page of text or a test can then use the same picture, each in its own way.
"""
